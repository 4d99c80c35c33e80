"""Business case, the answer: what the setter pays, live, and how sure that is; the reasons one fold below."""

import streamlit as st

from coreset.decision import headline
from coreset.decision.recommendation import of_the_purchase
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
from coreset.pages.business_case import live
from coreset.pages.parts import layout, results
from coreset.text import say
from coreset.web import session

layout.head("money")
decision = live.money()
live.inputs_and_answer()
with st.expander(say("money.view.why")):
    results.sentences(lambda: headline.lines(session.assessment()), "decision.lines")
    results.sentences(lambda: of_the_purchase(session.assessment()), "brief.of_the_purchase", show=st.caption)
    results.picture(lambda: charts.cash_flow(decision), "cash_flow")
    results.rows(lambda: tables.flow(decision), "money.flow")
    results.picture(lambda: charts.waterfall(decision), "waterfall")
    results.rows(lambda: chart_tables.waterfall(decision), "money.waterfall")
    results.sentences(lambda: sentences.sentences(decision), "money")
    results.sentences(lambda: sentences.remarks(decision), "money.remarks", show=st.caption)
    results.sentences(
        lambda: (base_figures.baseline(decision), *base_figures.highest_prices(decision)), "money.base", show=st.caption
    )
    results.sentences(lambda: financing.sentences(decision), "money.financing", show=st.caption)
    if financing.financed(decision):
        st.subheader(say("money.financing.title"), anchor=False)
        results.rows(lambda: financing.own_money(decision), "money.own_money")
    results.working(lambda: working.workings(decision), "money")
    results.working(lambda: base_figures.lines(decision), "money.base", label=say("brief.head.base_working"))
    drawn = say("brief.head.drawn_working")
    results.working(
        lambda: [*chance_working.chances(decision), *alternative_working.claims(decision)], "money.chances", label=drawn
    )
