"""The header and the elements of a study, edited after it was begun, each change with who and why in its trail."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import streamlit as st

from coreset.brief.case_status import trail
from coreset.case import Case, Element, Study
from coreset.errors import BookError
from coreset.forms.changes import saved_since
from coreset.forms.editing import refuse_new_faults
from coreset.forms.fields import Asked, known
from coreset.forms.fields import fields as asked_of
from coreset.forms.merge import Conflict, refuse_conflicts
from coreset.pages.parts import layout, results
from coreset.pages.time_study.clock.desk import attempt, changed
from coreset.study.report.timing import changes, header_names
from coreset.text import say
from coreset.web import person, session

COLUMNS = {"name": 4, "breakpoint": 4, "kind": 3, "per_mold": 2, "occasional": 2}
"""Fields of an element that are edited, with the widths of their columns."""
NEW_ROWS = 2
PLACE_IN_REGISTER = ("status", "status_reason", "effective", "superseded_by", "restudy")


def header(case: Case, study: Study) -> None:
    """A form with the fields of the header."""
    fields = {asked.name: asked for asked in asked_of(Study, case.units, known(case, "studies"))}
    locked = bool(study.signed) or not session.may("edit")
    form = session.form_of("header", study.study)
    base = _base(study, form)
    layout.points()
    with st.form("header", border=False):
        columns = st.columns(2)
        typed: dict[str, Any] = {}
        for number, name in enumerate(header_names(study)):
            with columns[number & 1]:
                typed[name] = _widget(fields[name], base, form, disabled=locked)
        typed["consent"] = st.checkbox(
            say("timing.consent"),
            base.consent,
            key=f"{form}.consent",
            disabled=locked,
            help=layout.word("permission"),
        )
        why = _why(study, form)
        kept = st.form_submit_button(say("timing.header_keep"), type="primary", disabled=locked)
    if kept:
        attempt(lambda: _keep(case, study, _joined(case, study, _typed(typed, fields), form), why))
    else:
        layout.saved_since(saved_since({name: fields[name].label for name in typed}, base, study))
    _register(case, study, fields)
    _trail(study)


def _register(case: Case, study: Study, fields: dict[str, Asked]) -> None:
    """The study's place in the register; a signature does not lock it, since a signed study can be superseded."""
    locked, form = not session.may("edit"), session.form_of("register", study.study)
    base = _base(study, form)
    st.header(say("brief.register.title"), anchor=False)
    st.markdown(say("timing.register_words"))
    with st.form("register", border=False):
        columns = st.columns(2)
        typed: dict[str, Any] = {}
        for number, name in enumerate(PLACE_IN_REGISTER):
            with columns[number & 1]:
                typed[name] = _widget(fields[name], base, form, disabled=locked)
        why = st.text_input(say("timing.edit_why"), key=f"{form}.why", disabled=locked, help=layout.word("correction"))
        kept = st.form_submit_button(say("timing.register_keep"), disabled=locked)
    if kept:
        attempt(lambda: _keep(case, study, _joined(case, study, _typed(typed, fields), form), why))


def _base(study: Study, form: str) -> Study:
    """The study as it was when the form was opened."""
    earlier = session.opened_form(form).studies
    return next((one for one in earlier if one.study == study.study), study)


def _joined(case: Case, study: Study, typed: dict[str, Any], form: str) -> Study:
    """The study as it is now with what was really changed here; refused where somebody else changed the same."""
    base, seen = _base(study, form), f"theirs.{form}"
    own = {name: value for name, value in typed.items() if value != getattr(base, name)}
    try:
        refuse_conflicts(base, study, own, case.units, st.session_state.get(seen, {}))
    except Conflict as conflict:
        st.session_state[seen] = conflict.theirs
        raise
    return replace(study, **own)


def _typed(typed: dict[str, Any], fields: dict[str, Asked]) -> dict[str, Any]:
    found = {name: "" if value is None and fields[name].kind == "open" else value for name, value in typed.items()}
    return {name: value for name, value in found.items() if value is not None or fields[name].optional}


def _widget(asked: Asked, value: Any, key: str, *, disabled: bool, label: str = "") -> Any:
    """The widget of a field; one with a label of its own stands in a table, for those who cannot see its head."""
    now = asked.default if value is None else getattr(value, asked.name)
    said: dict[str, Any] = {"key": f"{key}.{asked.name}", "disabled": disabled}
    said |= {"label": label or layout.plain(asked.label)}
    said |= {"label_visibility": "collapsed"} if label else {"help": layout.linked(asked.help)}
    if asked.kind == "bool":
        return st.checkbox(value=bool(now), **said)
    if asked.kind in ("choice", "open"):
        choices = list(dict.fromkeys([*filter(None, [now]), *asked.choices]))
        return st.selectbox(options=choices, index=0 if now else None, **said)
    if asked.kind == "float":
        limits = {"min_value": asked.least, "max_value": asked.most}
        return st.number_input(value=None if now is None else float(now), format="%g", step=1.0, **limits, **said)
    return st.text_input(value=now or "", **said)


def _why(study: Study, form: str) -> str:
    return st.text_input(
        say("timing.edit_why"), key=f"{form}.why", disabled=bool(study.signed), help=layout.word("correction")
    )


def elements(case: Case, study: Study) -> None:
    """A form with the elements, one a row."""
    locked, begun = bool(study.signed) or not session.may("edit"), _begun(study)
    fields = {asked.name: asked for asked in asked_of(Element, case.units, {})}
    st.markdown(say("timing.elements_read") if begun else say("timing.elements_words"))
    with st.form("elements", border=False):
        with st.container(key="element-heads"):
            for column, name in zip(st.columns(list(COLUMNS.values())), COLUMNS, strict=True):
                column.markdown(f"**{layout.plain(_head(name))}**")
        form = session.form_of("elements", study.study)
        base = _base(study, form)
        rows: list[Element | None] = [*base.elements, *[None] * (0 if locked else NEW_ROWS)]
        with st.container(key="element-rows"):
            typed = [_row(number, row, fields, (form, locked)) for number, row in enumerate(rows, start=1)]
        why = _why(study, form)
        kept = st.form_submit_button(say("timing.elements_keep"), type="primary", disabled=locked)
    if kept:
        attempt(lambda: _keep(case, study, _joined(case, study, {"elements": _elements(rows, typed)}, form), why))
    else:
        layout.saved_since(saved_since({"elements": say("timing.view.elements")}, base, study))
    _trail(study)


def _head(name: str) -> str:
    return say(f"timing.element.{name}")


def _row(number: int, element: Element | None, fields: dict[str, Asked], how: tuple[str, bool]) -> dict[str, Any]:
    found, (key, locked) = {}, how
    for column, name in zip(st.columns(list(COLUMNS.values()), vertical_alignment="center"), COLUMNS, strict=True):
        label = say("timing.element_field", number=number, field=_head(name))
        with column:
            found[name] = _widget(fields[name], element, f"{key}.element{number}", disabled=locked, label=label)
    return found


def _elements(rows: list[Element | None], typed: list[dict[str, Any]]) -> tuple[Element, ...]:
    """The elements as typed; each remembers the names it had: somebody may have a clock open that sends them."""
    names = [(new["name"] or "").strip() for new in typed]
    found = []
    for old, new, name in zip(rows, typed, names, strict=True):
        if name:
            had = () if old is None else (*old.earlier, old.name)
            earlier = tuple(one for one in dict.fromkeys(had) if one not in names)
            found.append(replace(old or Element(name=name), **{**new, "name": name}, earlier=earlier))
    return tuple(found)


def _begun(study: Study) -> bool:
    return bool(len(study.readings) or session.book().presses(session.case_id(), study.study))


def _keep(case: Case, study: Study, new: Study, why: str) -> None:
    person.who()
    told = changes(study, new)
    if not told:
        raise BookError(say("timing.edit_nothing"))
    if _begun(study) and not why.strip():
        raise BookError(say("timing.edit_why_missing"))
    sentence = say("timing.edited_why" if why.strip() else "timing.edited", study=study.study, changes=told, why=why)
    refuse_new_faults(case, changed(case, new))
    session.keep(changed(case, new), sentence)


def _trail(study: Study) -> None:
    """Who changed the study when and why."""
    st.header(say("timing.study_trail"), anchor=False)
    results.rows(trail(session.book().study_trail(session.case_id(), study.study)))
