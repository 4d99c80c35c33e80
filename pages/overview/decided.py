"""The first screen of a case that can be decided: verdict, four figures, one chart, three cards."""

from __future__ import annotations

from collections.abc import Callable

import streamlit as st

from coreset.case import Case
from coreset.pages.parts import layout, results
from coreset.web import navigation, session

SHAPES = {
    "buy": "check_circle",
    "buy_if_proven": "pending",
    "must_do": "priority_high",
    "improve_by_hand": "front_hand",
    "not_decided": "help",
    "do_not_buy": "cancel",
    "not_feasible": "block",
    "no_money": "radio_button_unchecked",
}
"""A sign for each verdict that differs in shape, so that it is told without color."""


def first_screen(case: Case, *, others: Callable[[], None]) -> None:
    """Verdict and figures first; the cards lead to the pages that show why.

    Parameters
    ----------
    case : Case
        The open one.
    others : callable
        Shows the other cases, below the chart.
    """
    assessment = session.assessment()
    from coreset.brief import overview  # not with the frame of the page: it loads the array library

    level = session.worded(lambda: overview.level_of(assessment), "level")
    session.note_verdict(level)
    with st.container(horizontal=True, vertical_alignment="center", key="verdict"):
        st.markdown(f"**:material/{SHAPES[level]}: {layout.plain(overview.verdict_word(level))}**", width="content")
        st.markdown(layout.plain(results.decision(assessment)), width="stretch")
    results.decision_figures(assessment)
    cards = session.worded(
        lambda: (
            overview.time_card(case, session.compared()),
            overview.people_card(assessment.jobs),
            overview.open_card(assessment),
        ),
        "overview.cards",
    )
    left, right = st.columns(2, gap="medium")
    with left:
        results.cash_flow(assessment)
        others()
    with right:
        for card in cards:
            with st.container(border=True, gap="xxsmall"):
                navigation.link(card.page, card.title)
                for line in card.lines:
                    st.caption(layout.plain(line))
