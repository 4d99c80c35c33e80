"""Payback: what the setter pays, how sure that is, for which patterns, and what to study first."""

import streamlit as st

from coreset.brief import say, say_money, tables_charts, tables_money, working_chances, working_money
from coreset.brief.decision import decision as decision_sentence
from coreset.charts import money as charts
from coreset.pages import parts, session

assessment = session.assessment()
parts.head("money")
parts.answer(decision_sentence(assessment))
if (decision := assessment.money) is None:
    st.stop()
parts.picture(lambda: charts.cash_flow(decision), "cash_flow", table=tables_money.flow(decision))
parts.picture(lambda: charts.payback_chance(decision), "payback_chance", table=tables_charts.payback_chance(decision))
for sentence in say_money.sentences(decision):
    st.markdown(parts.plain(sentence))
for sentence in say_money.remarks(decision):
    st.caption(parts.plain(sentence))
parts.working(working_money.workings(decision))
parts.working(working_chances.chances(decision), label=say("brief.head.drawn_working"))
st.header(say("money.section.patterns"), anchor=False)
parts.rows(tables_money.patterns(decision))
with st.expander(say("money.section.costs")):
    parts.rows(tables_money.costs(decision))
for sentence in say_money.margins(decision):
    st.markdown(parts.plain(sentence))
parts.rows(tables_money.sets(decision))
parts.picture(lambda: charts.run_length(decision), "run_length", table=tables_charts.run_length(decision))
parts.picture(lambda: charts.waterfall(decision), "waterfall", table=tables_charts.waterfall(decision))
st.header(say("money.section.ways"), anchor=False)
parts.picture(lambda: charts.ways(decision), "ways", table=tables_money.ways(decision))
st.header(say("money.section.moves"), anchor=False)
parts.picture(lambda: charts.tornado(decision), "tornado", table=tables_money.inputs(decision))
st.header(say("money.section.study"), anchor=False)
st.caption(parts.plain(say_money.floor(decision)))
parts.rows(tables_money.studies(decision))
st.header(say("money.section.scenarios"), anchor=False)
parts.rows(tables_money.scenarios(decision))
