"""Presses that do not fit their study, on the page: named, assigned to an element, renamed or excluded."""

from __future__ import annotations

from dataclasses import replace

import streamlit as st

from coreset.case import Case, Study
from coreset.errors import BookError
from coreset.pages.parts import layout, results
from coreset.pages.time_study.clock.desk import changed
from coreset.store.book.set_apart import ASSIGN, EXCLUDE, TAKE_IN, Apart
from coreset.study.report.timing import apart_label, apart_rows, apart_words, removed_label, removed_rows
from coreset.text import say
from coreset.web import person, session

RENAME = "rename"
ACTIONS = (ASSIGN, RENAME, EXCLUDE, TAKE_IN)


def readings_apart(case: Case, study: Study) -> None:
    """The presses set apart, and a form to decide about one, or about all of one name; nothing if there are none."""
    apart = session.book().apart(session.case_id(), study.study)
    if not apart:
        return
    st.header(say("timing.apart"), anchor=False)
    for words in apart_words(apart):
        st.warning(words)
    results.rows(apart_rows(apart))
    locked = bool(study.signed) or not session.may("edit")
    form = session.form_of("apart", study.study)
    with st.form("apart", border=False):
        left, middle, right = st.columns(3)
        left.selectbox(
            say("timing.apart_which"), apart, format_func=apart_label, key=f"{form}.one", help=layout.word("reading")
        )
        middle.selectbox(
            say("timing.correct_action"),
            ACTIONS,
            format_func=lambda name: say(f"timing.action.{name}"),
            key=f"{form}.action",
            help=layout.word("correction"),
        )
        names = [element.name for element in study.elements]
        right.selectbox(
            say("timing.apart_element"), names, index=None, key=f"{form}.element", help=layout.word("element")
        )
        left.text_input(say("timing.correct_why"), key=f"{form}.why", help=layout.word("correction"))
        st.form_submit_button(say("timing.apart_keep"), disabled=locked, on_click=_decide, args=(case, study, form))


def _decide(case: Case, study: Study, form: str) -> None:
    """Keep the decision that the form holds; a callback, so that the press is the one that was shown and chosen."""
    one, action, element, why = (st.session_state[f"{form}.{name}"] for name in ("one", "action", "element", "why"))
    with session.told():
        _settle(case, study, one, (action, element or "", why.strip()))
        session.begin_forms()


def _settle(case: Case, study: Study, one: Apart, decision: tuple[str, str, str]) -> None:
    action, element, why = decision
    who = person.who()
    if not why:
        raise BookError(say("timing.correct_why_missing"))
    if action in (ASSIGN, RENAME) and not element:
        raise BookError(say("timing.apart_element_missing"))
    if action == RENAME:
        session.keep(changed(case, _renamed(study, one, element)), say("timing.apart_renamed", study=study.study,
            name=one.element, element=element, why=why))  # fmt: skip
        return
    given = element if action == ASSIGN else ""
    session.book().settle(session.case_id(), study.study, (one.device, one.seq), action, given, who=who, why=why)


def _renamed(study: Study, one: Apart, element: str) -> Study:
    """The study with the name that was pressed as an earlier one of an element: every press of it fits then."""
    name = one.element
    if one.late or not name.strip() or name in [e.name for e in study.elements]:
        raise BookError(say("timing.apart_no_name"))
    named = tuple(replace(e, earlier=(*e.earlier, name)) if e.name == element else e for e in study.elements)
    return replace(study, elements=named)


def removed(case: Case) -> None:
    """The sessions that came for removed studies, and a form to decide about one; nothing if there are none."""
    found = session.book().apart(session.case_id())
    if not found:
        return
    st.header(say("timing.removed"), anchor=False)
    st.warning(say("timing.removed_words"))
    results.rows(removed_rows(found))
    form = session.form_of("removed")
    with st.form("removed", border=False):
        left, middle, right = st.columns(3)
        left.selectbox(
            say("timing.apart_which"), found, format_func=removed_label, key=f"{form}.one", help=layout.word("reading")
        )
        middle.selectbox(
            say("timing.correct_action"),
            (TAKE_IN, EXCLUDE),
            format_func=lambda name: say(f"timing.action.{name}"),
            key=f"{form}.action",
            help=layout.word("correction"),
        )
        studies = session.book().studies(session.case_id())
        right.selectbox(
            say("timing.removed_into"), studies, index=None, key=f"{form}.study", help=layout.word("heading_of_a_study")
        )
        left.text_input(say("timing.correct_why"), key=f"{form}.why", help=layout.word("correction"))
        st.form_submit_button(
            say("timing.apart_keep"), disabled=not session.may("edit"), on_click=_decide_removed, args=(form,)
        )


def _decide_removed(form: str) -> None:
    """Save the decision about a session of a removed study; a callback, as `_decide`."""
    one, action, study, why = (st.session_state[f"{form}.{name}"] for name in ("one", "action", "study", "why"))
    with session.told():
        who = person.who()
        if not why.strip():
            raise BookError(say("timing.correct_why_missing"))
        if action == TAKE_IN and not study:
            raise BookError(say("timing.removed_into_missing"))
        place, into = (one.device, one.seq), study or ""
        session.book().settle(session.case_id(), one.study, place, action, into, who=who, why=why.strip())
        session.begin_forms()
