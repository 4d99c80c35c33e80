"""Business case, patterns: which go over and why, what each saves, from which run length on."""

import streamlit as st

from coreset.brief.page_tables import named
from coreset.brief.pattern_table import which_patterns
from coreset.money import charts
from coreset.money.report import chart_tables, sentences, tables
from coreset.pages.business_case import live
from coreset.pages.parts import layout, results
from coreset.text import say
from coreset.web import session

layout.head("money.patterns")
decision = live.money()
layout.answer(session.worded(lambda: which_patterns(session.assessment()), "money.which_patterns"))
results.picture(lambda: charts.pattern_savings(decision), "pattern_savings")
results.rows(lambda: named("patterns_full", session.assessment()), "money.patterns")
with st.expander(say("money.view.why")):
    results.sentences(lambda: sentences.margins(decision), "money.margins")
    results.rows(lambda: tables.sets(decision), "money.sets")
    results.rows(lambda: tables.costs(decision), "money.costs")
    results.picture(lambda: charts.run_length(decision), "run_length")
    results.rows(lambda: chart_tables.run_length(decision), "money.run_length")
