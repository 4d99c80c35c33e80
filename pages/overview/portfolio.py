"""Portfolio: cases under one budget: which first, in which order, what is left over."""

import streamlit as st

from coreset.brief.compare import lacking
from coreset.decision.portfolio import portfolio
from coreset.decision.portfolio_words import portfolio_answer, portfolio_rows, portfolio_working
from coreset.errors import CoresetError
from coreset.pages.parts import layout, results
from coreset.text import say
from coreset.web import navigation, session

CASES, BUDGET, LEAST = "portfolio.cases", "portfolio.budget", 2
layout.head("decision.portfolio")
names = [row.case_id for row in session.book().cases()]
if len(names) < LEAST:
    layout.answer(say("decision.portfolio.only_one"))
    navigation.link("case", say("front.compare.start"))
    st.stop()
told, currency = st.container(gap="xxsmall"), session.case().currency
left, right = st.columns([3, 1])
layout.held(CASES, [session.case_id(), *session.cases_of_plant()])
st.session_state[CASES] = [name for name in st.session_state[CASES] if name in names]
chosen = left.multiselect(say("decision.portfolio.cases"), names, key=CASES, help=say("decision.portfolio.cases_help"))
layout.held(BUDGET, None)
budget = right.number_input(
    layout.plain(say("decision.portfolio.budget", currency=currency)),
    min_value=0.0,
    value=None,
    step=1000.0,
    format="%.12g",
    key=BUDGET,
    help=say("decision.portfolio.budget_help"),
)
layout.hold(CASES, BUDGET)
offers, wanting = {}, []
with st.spinner(say("front.wait")):
    for name in chosen:
        try:
            offers[name] = session.offer_of(name)
        except CoresetError as error:
            wanting.append(lacking(name, session.book().open(name), error))
for words in wanting:
    st.info(layout.plain(words))
with told:
    if len(offers) < LEAST:
        layout.answer(say("decision.portfolio.choose"))
        st.stop()
    try:
        found = portfolio(offers, budget)
    except CoresetError as error:
        layout.fault(str(error))
        st.stop()
    first, *others = (session.in_manner(line) for line in portfolio_answer(found))
    layout.answer(first)
    results.sentences(others)
results.rows(portfolio_rows(found, offers))
results.working(portfolio_working(found))
results.sentences((f"{name}: {one.sentence}" for name, one in offers.items()), show=st.caption)
st.caption(say("decision.portfolio.text"))
layout.safety()
