"""Business case, sensitivity: what moves the answer, what would turn it, what to study first."""

import streamlit as st

from coreset.decision import sentences as reasons
from coreset.decision.verdict import decide
from coreset.money import charts
from coreset.money.report import alternative_working, sentences, tables
from coreset.pages.business_case import live
from coreset.pages.parts import layout, results
from coreset.text import say
from coreset.web import session

layout.head("money.sensitivity")
decision = live.money()
found = session.assessment()
turned = session.worded(lambda: " ".join(reasons.tips(decide(found), found)), "money.tips")
layout.answer(turned or sentences.floor(decision))
results.picture(lambda: charts.tornado(decision), "tornado", table=lambda: tables.inputs(decision))
st.header(say("money.section.study"), anchor=False)
results.rows(lambda: tables.studies(decision), "money.studies")
with st.expander(say("money.view.why")):
    results.sentences(lambda: [sentences.floor(decision)], "money.floor", show=st.caption)
    of_inputs = say("money.working.beside.inputs")
    results.working(lambda: alternative_working.inputs(decision), "money.inputs", label=of_inputs)
