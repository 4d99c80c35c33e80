"""Brief: the decision, its reasons, what would change it, and the downloads."""

import streamlit as st

from coreset.brief import charts
from coreset.brief.page_tables import named
from coreset.decision import headline
from coreset.decision.recommendation import load_on_people, would_change
from coreset.pages.parts import layout, results
from coreset.pages.report import downloads
from coreset.study.report.timing import signatures
from coreset.text import say
from coreset.web import session

layout.head("front.brief")
assessment = session.assessment()
layout.answer(results.decision(assessment))
left, right = st.columns([1, 3])
with left:
    downloads.offer(assessment, session.case_id())
    results.sentences(lambda: signatures(assessment.case.studies), "brief.signatures", show=st.caption)
with right:
    downloads.preview(assessment)
results.sentences(lambda: headline.lines(assessment), "brief.lines", assessment.day)
results.sentences(lambda: [load_on_people(assessment)], "brief.load")
if (money := assessment.money) is not None:
    results.decision_figures(assessment)
    results.cash_flow(assessment)
    st.header(say("brief.head.change"), anchor=False)
    results.sentences(lambda: would_change(assessment), "brief.change")
    results.picture(lambda: charts.drivers(money), "brief.drivers", table=lambda: named("drivers", assessment))
    st.header(say("brief.head.patterns"), anchor=False)
    results.rows(lambda: named("patterns_full", assessment), "brief.patterns_full")
layout.safety()
