"""The first page of an empty database: three jobs to begin with and the demo; one lift is checked here and now."""

from __future__ import annotations

from dataclasses import replace

import streamlit as st

from coreset.brief.case_status import empty_case
from coreset.case import UNIT_SETS, US_STYLE, Case
from coreset.errors import CoresetError, StudyError
from coreset.forms.first_purchase import NUMBERS, TIMES, first_purchase
from coreset.pages.parts import layout
from coreset.text import message, say
from coreset.web import navigation, person, session

CHOSEN, CODE, WRONG = "start_chosen", "start_code", "start_wrong"
HELP = {
    "allowance_pct": "allowance",
    "machine_s": "mold_cycle",
    "molds_per_year": "volume",
    "runs_per_year": "run",
    "setter_price": "price",
    "mask_cost": "core_mask",
    "labor_per_h": "wage",
    "line_crew": "line_crew",
    "paid_pct": "saved_hours",
    "discount_pct": "discount_rate",
}
"""Word of the glossary of each number of a first purchase."""
JOBS = {"time": "timing", "lift": "", "purchase": "payback"}
"""What can be begun, and the page on which it goes on; a lift needs no case."""


def first_steps() -> None:
    """The choice, then what the chosen job needs."""
    st.title(say("front.start.title"), anchor=False)
    layout.answer(say("front.start.lead"))
    for job, column in zip(JOBS, st.columns(len(JOBS)), strict=True):
        with column.container(border=True, height="stretch"):
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

        one_lift.lift_check(empty_case(say("front.start.lift")))
        st.caption(say("handling.caution.page"))
    elif chosen:
        _asked(chosen)


def _choose(job: str) -> None:
    st.session_state[CHOSEN] = job


def _asked(job: str) -> None:
    """Who begins, what it is called and in which units; then the page where the job goes on."""
    with st.form("start", enter_to_submit=False):
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
        figures = _purchase() if job == "purchase" else None
        sent = st.form_submit_button(say("front.start.go" if figures is None else "front.start.answer"), type="primary")
    if sent:
        person.call_me(CODE)
        name = name.strip() or say(f"front.start.{job}_name")
        try:
            new = replace(empty_case(name), units=units, **({"currency": "USD"} | US_STYLE if units == "us" else {}))
            if figures is not None:
                currency, times, numbers = figures
                new = first_purchase(replace(new, currency=currency), times, numbers, person.who())
            person.who()
        except StudyError as error:
            st.session_state[WRONG] = {fault.column: fault for fault in error.faults}
            st.rerun()
        except CoresetError as error:
            layout.fault(str(error))
            return
        session.begin(name, new)
        st.switch_page(navigation.path_of(JOBS[job]))


def _purchase() -> tuple[str, dict[str, str], dict[str, float | None]]:
    """Currency, times and numbers of a first purchase; what was wrong stands under its field."""
    wrong = st.session_state.pop(WRONG, {})
    if wrong:
        st.error(say("front.start.faults"))
        layout.focus(f"start.{next(iter(wrong))}")
    st.caption(say("front.start.asked"))
    currency = st.text_input(say("front.start.currency"), "USD", max_chars=3, help=layout.field(Case, "currency"))
    places = (place for _ in (*TIMES, *NUMBERS) for place in st.columns(2))  # made as they are needed, two in a row
    times: dict[str, str] = {}
    numbers: dict[str, float | None] = {}
    for name, place in zip([*TIMES, *NUMBERS], places, strict=False):
        with place:
            if isinstance(name, str):
                times[name] = st.text_input(_label(name, currency), key=f"start.{name}", help=layout.word("cycle"))
            else:
                numbers[name.name] = st.number_input(
                    _label(name.name, currency),
                    min_value=name.least,
                    max_value=name.most,
                    value=None,
                    key=f"start.{name.name}",
                    help=layout.word(HELP[name.name]),
                )
            if fault := wrong.get(name if isinstance(name, str) else name.name):
                found = fault.found or say("front.fault.nothing")
                layout.fault(say("front.fault.at_field", found=found, expected=message(fault.expected)))
    return currency, times, numbers


def _label(name: str, currency: str) -> str:
    return say(f"front.start.field.{name}", currency=currency)
