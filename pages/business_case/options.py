"""Business case, options: buy, lease, used, another method, each on the same simulation runs; then other volumes."""

import streamlit as st

from coreset.brief.page_tables import named
from coreset.decision import sentences
from coreset.decision.verdict import decide
from coreset.money import charts
from coreset.money.report import alternative_working, tables
from coreset.pages.business_case import live
from coreset.pages.parts import layout, results
from coreset.text import say
from coreset.web import session

layout.head("money.options")
decision = live.money()
found = session.assessment()
others = session.worded(lambda: " ".join(sentences.alternatives(decide(found), found)), "money.options")
layout.answer(others or say("money.view.best_alone"))
results.picture(lambda: charts.ways(decision), "ways")
results.rows(lambda: named("alternatives_full", found), "brief.alternatives_full")
with st.expander(say("money.view.why")):
    results.working(lambda: alternative_working.ways(decision), "money.ways")
    st.subheader(say("money.section.scenarios"), anchor=False)
    results.rows(lambda: tables.scenarios(decision), "money.scenarios")
    results.working(lambda: alternative_working.volumes(decision), "money.volumes")
