"""Brief: the decision, what carries it, what would change it, and everything to take along."""

import streamlit as st

from coreset.brief import say
from coreset.brief.decision import decision, figures
from coreset.brief.recommend import recommendation, would_change
from coreset.brief.tables import named
from coreset.charts import brief as charts
from coreset.pages import downloads, parts, session

assessment = session.assessment()
parts.head("front.brief")
parts.answer(decision(assessment))
st.markdown(parts.plain(recommendation(assessment)))
if (money := assessment.money) is not None:
    parts.figures(figures(assessment))
    parts.chart(charts.cash_flow(money), named("flow", assessment))
    st.header(say("brief.head.change"), anchor=False)
    for sentence in would_change(assessment):
        st.markdown(parts.plain(sentence))
    parts.chart(charts.drivers(money), named("drivers", assessment))
    st.header(say("brief.head.patterns"), anchor=False)
    parts.rows(named("patterns", assessment))
st.header(say("front.brief.take"), anchor=False)
downloads.offer(assessment, session.case_id())
parts.safety()
