"""The first page of an empty database: three jobs to begin with and the demo; one lift is checked here and now."""

from __future__ import annotations

from dataclasses import replace

import streamlit as st

from coreset.brief.case_status import empty_case
from coreset.case import UNIT_SETS, Case
from coreset.errors import CoresetError
from coreset.pages.parts import layout
from coreset.text import say
from coreset.web import navigation, person, session

CHOSEN, CODE = "start_chosen", "start_code"
JOBS = {"time": "timing", "lift": "", "purchase": "case"}
"""What can be begun, and the page on which it goes on; a lift needs no case."""


def show() -> None:
    """The choice, then what the chosen job needs."""
    st.title(say("front.start.title"), anchor=False)
    layout.answer(say("front.start.lead"))
    for job, column in zip(JOBS, st.columns(len(JOBS)), strict=True):
        with column.container(border=True):
            st.markdown(say(f"front.start.{job}_words"))
            st.button(
                say(f"front.start.{job}"),
                on_click=_choose,
                args=(job,),
                type="primary",
                width="stretch",
                disabled=bool(JOBS[job]) and not session.may("edit"),
            )
    st.button(say("front.start.demo"), on_click=session.open_demo, help=say("front.start.demo_help"))
    chosen = st.session_state.get(CHOSEN)
    if chosen == "lift":
        from coreset.pages.lifting import one_lift  # not with the first page: it loads the array library

        one_lift.show(empty_case(say("front.start.lift")))
        st.caption(say("handling.caution.page"))
    elif chosen:
        _asked(chosen)


def _choose(job: str) -> None:
    st.session_state[CHOSEN] = job


def _asked(job: str) -> None:
    """Who begins, what it is called and in which units; then the page where the job goes on."""
    with st.form("start"):
        left, middle, right = st.columns(3)
        left.text_input(
            say("front.code.label"),
            person.code(),
            key=CODE,
            max_chars=person.CODE_LENGTH,
            help=layout.word("code_of_a_person"),
        )
        name = middle.text_input(
            say("front.start.name"), say(f"front.start.{job}_name"), help=layout.field(Case, "title")
        )
        units = right.selectbox(
            say("handling.one.units"),
            list(UNIT_SETS),
            format_func=lambda name: say(f"handling.one.units_{name}"),
            help=layout.field(Case, "units"),
        )
        sent = st.form_submit_button(say("front.start.go"), type="primary")
    if sent:
        person.call_me(CODE)
        try:
            person.who()
        except CoresetError as error:
            layout.fault(str(error))
            return
        session.begin(name.strip() or say(f"front.start.{job}_name"), replace(empty_case(name.strip()), units=units))
        st.switch_page(navigation.path_of(JOBS[job]))
