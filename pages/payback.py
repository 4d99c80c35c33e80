"""Payback: what the setter pays, how sure that is, for which patterns, and what to study first."""

import streamlit as st

from coreset.brief import say, say_money, tables_charts, tables_money, working_chances, working_money, working_ways
from coreset.brief.decision import decision as decision_sentence
from coreset.charts import money as charts
from coreset.pages import parts, payback_beside, results, session

assessment = session.assessment()
parts.head("money")
parts.answer(decision_sentence(assessment))
if (decision := assessment.money) is None:
    st.stop()
results.picture(lambda: charts.cash_flow(decision), "cash_flow", table=lambda: tables_money.flow(decision))
results.picture(
    lambda: charts.payback_chance(decision), "payback_chance", table=lambda: tables_charts.payback_chance(decision)
)
results.sentences(lambda: say_money.sentences(decision), "money")
results.sentences(lambda: say_money.remarks(decision), "money.remarks", show=st.caption)
results.working(lambda: working_money.workings(decision), "money")
drawn = say("brief.head.drawn_working")
results.working(
    lambda: [*working_chances.chances(decision), *working_ways.claims(decision)], "money.chances", label=drawn
)
st.header(say("money.section.patterns"), anchor=False)
results.rows(lambda: tables_money.patterns(decision), "money.patterns")
with st.expander(say("money.section.costs")):
    results.rows(lambda: tables_money.costs(decision), "money.costs")
results.sentences(lambda: say_money.margins(decision), "money.margins")
results.rows(lambda: tables_money.sets(decision), "money.sets")
results.picture(lambda: charts.run_length(decision), "run_length", table=lambda: tables_charts.run_length(decision))
results.picture(lambda: charts.waterfall(decision), "waterfall", table=lambda: tables_charts.waterfall(decision))
payback_beside.show(decision)
