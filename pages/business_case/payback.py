"""Payback: what the setter pays, how sure that is, for which patterns, and what to study first."""

import streamlit as st

from coreset.decision import headline
from coreset.money import charts
from coreset.money.report import (
    alternative_working,
    base_figures,
    chance_working,
    chart_tables,
    financing,
    sentences,
    tables,
    working,
)
from coreset.pages.business_case import live, payback_beside
from coreset.pages.parts import layout, results
from coreset.text import say
from coreset.web import session

layout.head("money")
decision, assessment = live.money(), session.assessment()
live.show()
results.sentences(lambda: headline.lines(assessment), "decision.lines")
results.picture(lambda: charts.cash_flow(decision), "cash_flow", table=lambda: tables.flow(decision))
results.picture(
    lambda: charts.payback_chance(decision), "payback_chance", table=lambda: chart_tables.payback_chance(decision)
)
results.sentences(lambda: sentences.sentences(decision), "money")
results.sentences(lambda: sentences.remarks(decision), "money.remarks", show=st.caption)
results.sentences(
    lambda: (base_figures.baseline(decision), *base_figures.highest_prices(decision)), "money.base", show=st.caption
)
results.sentences(lambda: financing.sentences(decision), "money.financing", show=st.caption)
if financing.financed(decision):
    with st.expander(say("money.financing.title")):
        results.rows(lambda: financing.own_money(decision), "money.own_money")
results.working(lambda: working.workings(decision), "money")
results.working(lambda: base_figures.lines(decision), "money.base", label=say("brief.head.base_working"))
drawn = say("brief.head.drawn_working")
results.working(
    lambda: [*chance_working.chances(decision), *alternative_working.claims(decision)], "money.chances", label=drawn
)
st.header(say("money.section.patterns"), anchor=False)
results.rows(lambda: tables.patterns(decision), "money.patterns")
with st.expander(say("money.section.costs")):
    results.rows(lambda: tables.costs(decision), "money.costs")
results.sentences(lambda: sentences.margins(decision), "money.margins")
results.rows(lambda: tables.sets(decision), "money.sets")
results.picture(lambda: charts.run_length(decision), "run_length", table=lambda: chart_tables.run_length(decision))
results.picture(lambda: charts.waterfall(decision), "waterfall", table=lambda: chart_tables.waterfall(decision))
payback_beside.show(decision)
