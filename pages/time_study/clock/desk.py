"""The study that is worked on: chosen or begun, described, signed."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from typing import Any

import streamlit as st

from coreset.case import Case, Element, Study
from coreset.errors import BookError, CoresetError
from coreset.forms.editing import refuse_new_faults
from coreset.pages.parts import layout
from coreset.pages.time_study.clock.library import of_plant
from coreset.store.book.sessions import whole
from coreset.study.library import described
from coreset.study.report.new_study import element_of, first_status, free_code, set_name, with_allowances
from coreset.study.report.progress import Progress, progress, standard_so_far
from coreset.study.report.timing import apart_told, cover, lack_sentence, removed_told
from coreset.study.standard import Standard
from coreset.text import say
from coreset.web import person, session

STUDY, VIEW = "study", "view"
MODES = {
    "setup": ("elements", "header", "exchange", "library"),
    "run": ("clock", "film"),
    "review": ("readings",),
    "result": ("standard", "sign"),
}
"""Modes of a study in the order of the work, each with its views; one view at a time is shown."""
MODE, SHOWN = "timing_mode", "timing_view.shown"


def choose(case: Case) -> Study | None:
    """The study picked from those of the case; the address names it, so that a reload finds it again."""
    codes = [study.study for study in case.studies]
    if not codes:
        return None
    with layout.addressed(STUDY, codes, key=f"timing_study.{session.case_id()}") as key:
        code = st.selectbox(say("timing.study"), codes, key=key, help=layout.word("heading_of_a_study"))
    return next(study for study in case.studies if study.study == code)


def view() -> str:
    """Which view of the study is shown: one at a time, so that one clock at most listens for keys.

    A mode is chosen, and where it has several views one of them; the address names the view.
    """
    state, asked = st.session_state, st.query_params.get(VIEW, "")
    mode_of = {name: mode for mode, views in MODES.items() for name in views}
    if asked in mode_of and (asked != state.get(SHOWN) or MODE not in state):
        state[MODE] = mode_of[asked]
        state[f"{MODE}.{mode_of[asked]}"] = asked
    state.setdefault(MODE, "run")
    with st.container(key="floor-views", horizontal=True):
        mode = _segments(say("timing.mode.label"), MODES, MODE, "timing.mode")
        views = MODES[mode]
        shown = views[0]
        if len(views) > 1:
            shown = _segments(say(f"timing.mode.{mode}"), views, f"{MODE}.{mode}", "timing.view")
    st.query_params[VIEW] = state[SHOWN] = shown
    return shown


def _segments(label: str, names: Iterable[str], key: str, words: str) -> str:
    """One of a few names, side by side."""
    names = list(names)
    st.session_state.setdefault(key, names[0])
    return st.segmented_control(
        label,
        names,
        required=True,
        key=key,
        format_func=lambda name: say(f"{words}.{name}"),
        label_visibility="collapsed",
        help=layout.word("heading_of_a_study"),
    )


def show_view(name: str) -> None:
    """Open a view of the study when the page is drawn next; for a button's callback."""
    st.query_params[VIEW] = name


def progress_of(case: Case, study: Study) -> Progress:
    """How far the study is, calculated once for the same case."""
    return session.once(lambda: progress(case, study), "progress", study.study)


def standard_of_study(case: Case, study: Study) -> Standard | None:
    """The standard of the study so far, calculated once for the same case; None while too few cycles are timed."""
    return session.once(lambda: standard_so_far(case, study), "standard_so_far", study.study)


def so_far(case: Case, study: Study) -> None:
    """What the study gives so far and what is next, with the buttons that lead there."""
    found = progress_of(case, study)
    layout.figures(found.figures)
    if found.rests_on:
        st.caption(layout.plain(" ".join(found.rests_on)))
    with st.container(horizontal=True, vertical_alignment="center"):
        st.markdown(f"**{layout.plain(found.next_words)}**", width="content")
        st.button(say("timing.progress.go_review"), on_click=show_view, args=("readings",))
        st.button(say("timing.progress.go_result"), on_click=show_view, args=("standard",))


def attempt(change: Callable[[], object]) -> None:
    """Do a change and draw anew; what is refused is said in its place."""
    try:
        change()
    except CoresetError as error:
        st.error(layout.plain(error))
        return
    st.rerun()


def begin(case: Case) -> None:
    """A form for a new study."""
    with st.expander(say("timing.new"), expanded=not case.studies), st.form("new_study", border=False):
        form = session.form_of("new_study")
        left, middle, right = st.columns(3)
        code = left.text_input(
            say("timing.new_code"), free_code(case), key=f"{form}.code", help=layout.word("heading_of_a_study")
        )
        observer = left.text_input(
            say("timing.new_observer"),
            key=f"{form}.observer",
            placeholder=person.code(),
            help=layout.word("code_of_a_person"),
        )
        pattern = middle.selectbox(
            say("timing.new_pattern"),
            layout.still([p.pattern for p in case.patterns], f"{form}.pattern"),
            key=f"{form}.pattern",
            accept_new_options=True,
            help=layout.word("pattern"),
        )
        operator = middle.text_input(
            say("timing.new_operator"), key=f"{form}.operator", help=layout.word("code_of_a_person")
        )
        known = list(dict.fromkeys((case.baseline, case.candidate, *(m.method for m in case.methods))))
        method = right.selectbox(
            say("timing.new_method"),
            layout.still(known, f"{form}.method"),
            key=f"{form}.method",
            accept_new_options=True,
            help=layout.word("method"),
        )
        timing = right.selectbox(
            say("timing.new_timing"),
            ("continuous", "snapback"),
            format_func=lambda name: say(f"timing.clock.{name}"),
            key=f"{form}.timing",
            help=layout.word("snapback"),
        )
        entries = of_plant(case)
        known = [entry.element.name for entry in entries]
        picked = st.multiselect(say("timing.new_known"), known, key=f"{form}.known", help=layout.word("element"))
        lines = st.text_area(
            say("timing.new_elements"), height=160, key=f"{form}.elements", help=layout.word("element")
        )
        allowances = _allowances(case, form)
        if st.form_submit_button(say("timing.new_do"), type="primary", disabled=not session.may("edit")):
            elements = tuple(
                described(entries, element_of(line)) for line in (*picked, *lines.splitlines()) if line.strip()
            )
            given = {"method": method, "pattern": pattern, "operator": operator.strip()}
            given["observer"] = observer.strip() or person.code()
            attempt(
                lambda: _add(with_allowances(case, allowances), code.strip(), elements, (allowances, timing), **given)
            )


def _allowances(case: Case, form: str) -> str | float | None:
    """The allowances of a new study, asked before timing: a set of the case, or one figure where it has none."""
    told: dict[str, Any] = {"key": f"{form}.allowances", "help": layout.word("allowance")}
    names = [one.name for one in case.allowances]
    if names:
        return st.selectbox(say("timing.new_allowances"), names, **told)
    return st.number_input(say("timing.new_allowance_pct"), 0.0, 99.0, None, step=1.0, format="%g", **told)


def _add(
    case: Case, code: str, elements: tuple[Element, ...], how: tuple[str | float | None, str], **given: str
) -> None:
    person.who()
    if not (code and elements and all(given.values())):
        raise BookError(say("timing.new_empty"))
    if code in {study.study for study in case.studies}:
        raise BookError(say("timing.new_taken", study=code))
    allowances, timing = how
    given["status"] = first_status(case, given["pattern"], given["method"])
    study = Study(study=code, elements=elements, allowances=set_name(allowances), timing=timing, **given)
    new = replace(case, studies=(*case.studies, study))
    refuse_new_faults(case, new)
    session.keep(new, say("timing.new_made", study=code))
    st.query_params[STUDY] = code


def changed(case: Case, study: Study) -> Case:
    """The case with that study in the place of the one of its code."""
    return replace(case, studies=tuple(study if s.study == study.study else s for s in case.studies))


def sign(case_id: str, study: Study, sessions: Sequence[Study]) -> None:
    """Lock a study with all of its sessions, or open a new version of a locked one."""
    st.markdown(say("timing.sign_words"))
    st.markdown(layout.plain(cover(sessions)))
    with st.form("sign", border=False):
        own, signs = person.known(), session.may("sign")
        by = st.text_input(
            say("timing.sign_who"), own, disabled=bool(study.signed or own), help=layout.word("signature")
        )
        why = st.text_input(say("timing.new_version_why"), disabled=not study.signed, help=layout.word("correction"))
        locks = st.form_submit_button(say("timing.sign"), disabled=bool(study.signed) or not signs)
        opens = st.form_submit_button(say("timing.new_version"), disabled=not study.signed or not signs)
    if locks:
        attempt(lambda: session.book().sign(case_id, study.study, who=by.strip()))
    if opens:
        attempt(lambda: _open(case_id, study.study, why))


def _open(case_id: str, study: str, why: str) -> None:
    code = session.book().new_version(case_id, study, who=person.who(), why=why)
    st.query_params[STUDY] = code


def sessions_of(case: Case, code: str) -> list[Study]:
    """The study that a session is of, which has the header and is timed, and after it its further sessions."""
    studies = session.book().studies(session.case_id())
    return [one for one in case.studies if whole(one.study, studies) == whole(code, studies)]


def told(shown: Study, study: Study) -> None:
    """What the clock noticed in the session that is shown, which study it is of, and what that one lacks."""
    if shown.study != study.study:
        st.caption(layout.plain(say("timing.whole", session=shown.study, study=study.study)))
    apart = session.book().apart(session.case_id(), study.study)
    if st.query_params.get(VIEW) != "readings":
        gone = removed_told(session.book().apart(session.case_id()))
        for words in filter(None, (*apart_told(apart), gone)):
            st.warning(words)
    if shown.clock_trouble:
        st.warning(layout.plain(say("timing.trouble", trouble=shown.clock_trouble)))
    if study.status != "current":
        st.caption(layout.plain(say(f"timing.register_{study.status}", study=study.study)))
    st.markdown(layout.plain(lack_sentence(study)))
