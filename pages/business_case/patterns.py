"""Business case, patterns: which go over and why, what each saves, from which run length on."""

import streamlit as st

from coreset.money import charts
from coreset.money.report import chart_tables, sentences, tables
from coreset.pages.business_case import live
from coreset.pages.parts import layout, results
from coreset.text import say

layout.head("money.patterns")
decision = live.money()
layout.answer(sentences.which_patterns(decision))
results.picture(lambda: charts.pattern_savings(decision), "pattern_savings")
results.rows(lambda: tables.patterns(decision), "money.patterns")
with st.expander(say("money.view.why")):
    results.sentences(lambda: sentences.margins(decision), "money.margins")
    results.rows(lambda: tables.sets(decision), "money.sets")
    results.rows(lambda: tables.costs(decision), "money.costs")
    results.picture(lambda: charts.run_length(decision), "run_length")
    results.rows(lambda: chart_tables.run_length(decision), "money.run_length")
