"""Other cases with their verdicts; to find, start or compare one; what was changed of the open one, and to undo it."""

from __future__ import annotations

import streamlit as st

from coreset.brief.case_status import found_cases, newest, trail
from coreset.pages.parts import layout, results
from coreset.text import say
from coreset.web import session

LISTED = 3
"""Cases that are listed with their verdict; all are found by their words."""


def case_library() -> None:
    """The field to find one or to start one; then the changes."""
    every = session.book().cases()
    st.header(say("front.case.others"), anchor=False)
    left, right = st.columns(2)
    wanted = left.text_input(say("front.case.search"), help=say("front.case.search_help"))
    names = {row.case_id: row.title for row in found_cases(every, wanted)}
    chosen = right.selectbox(
        say("front.case.open"),
        list(names),
        format_func=lambda name: f"{name}: {names[name]}",
        index=None,
        placeholder=say("front.case.choose"),
        help=layout.word("case"),
    )
    if chosen:
        session.open_case(chosen)
        st.rerun()
    new = left.text_input(say("front.case.new"), help=say("front.case.new_help"))
    if left.button(say("front.case.start"), disabled=not new.strip() or not session.may("edit")):
        session.start(new.strip())
        st.rerun()
    st.header(say("front.case.changes"), anchor=False)
    layout.undo()
    results.rows(trail(session.book().trail(session.case_id())))


def listed() -> None:
    """The others changed last: a button each that opens the case, and its verdict as far as it is known."""
    rows = newest(session.book().cases(), without=session.case_id(), most=LISTED)
    if not rows:
        return
    st.markdown(say("front.overview.cases"))
    for row, column in zip(rows, st.columns(LISTED), strict=False):
        level, day = session.noted_verdict(row.case_id), row.when[:10]
        column.button(
            layout.plain(row.title), on_click=session.open_case, args=(row.case_id,), key=f"open.{row.case_id}"
        )
        key = "verdict" if level else "not_known"
        words = say(f"front.overview.{key}", verdict=say(f"decision.word.{level}") if level else "", day=day)
        column.caption(layout.plain(words))
