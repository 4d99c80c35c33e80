"""Readings of a study on the page: seen, corrected beside what was taken, brought in and taken out."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import datetime

import streamlit as st

from coreset.case import Case, Correction, Element, Readings, Study
from coreset.errors import BookError, CoresetError
from coreset.pages.parts import layout, results
from coreset.pages.time_study.clock.desk import attempt, changed
from coreset.store.folder.readings_import import (
    FIELDS,
    FORMS,
    MAX_BYTES,
    Reader,
    as_csv,
    as_xlsx,
    guess,
    readings_from,
    table_of,
)
from coreset.study.report.timing import COLUMNS, column_help, reading_label, reading_rows, trail_rows
from coreset.text import say
from coreset.web import person, session

ACTIONS = ("exclude", "relabel", "rerate", "restore")
PREVIEW = 8


def corrections(case_id: str, study: Study) -> None:
    """The readings, a form to correct one, and the trail of corrections."""
    heads = {
        say(f"timing.column.{name}"): st.column_config.Column(help=layout.linked(column_help(name))) for name in COLUMNS
    }
    rows = results.as_read(reading_rows(study))
    st.dataframe(rows, hide_index=True, height=330, width="stretch", column_config=heads)
    st.header(say("timing.correct"), anchor=False)
    st.markdown(say("timing.kept_raw"))
    form = session.form_of("correct", study.study)
    with st.form("correct", border=False):
        left, middle, right = st.columns(3)
        left.selectbox(
            say("timing.correct_which"),
            list(study.readings),
            format_func=lambda one: session.in_manner(reading_label(one)),
            key=f"{form}.reading",
            help=layout.word("reading"),
        )
        middle.selectbox(
            say("timing.correct_action"),
            ACTIONS,
            format_func=lambda name: say(f"timing.action.{name}"),
            key=f"{form}.action",
            help=layout.word("correction"),
        )
        right.text_input(say("timing.correct_value"), key=f"{form}.value", help=layout.word("rating"))
        left.text_input(say("timing.correct_why"), key=f"{form}.why", help=layout.word("correction"))
        locked = bool(study.signed) or not len(study.readings) or not session.may("edit")
        st.form_submit_button(
            say("timing.correct_keep"), disabled=locked, on_click=_correct, args=(case_id, study.study, form)
        )
    if study.corrections:
        results.rows(trail_rows(study.corrections))
    else:
        st.markdown(say("timing.no_trail"))


def _correct(case_id: str, study: str, form: str) -> None:
    """Keep the correction that the form holds; a callback, so that the reading is the one that was shown and chosen."""
    typed = {name: st.session_state[f"{form}.{name}"] for name in ("reading", "action", "value", "why")}
    with session.told():
        by, action, why = person.who(), typed["action"], typed["why"].strip()
        if not why:
            raise BookError(say("timing.correct_why_missing"))
        made = Correction(
            seq=typed["reading"].seq,
            action=action,
            value=typed["value"].strip() if action in ("relabel", "rerate") else "",
            who=by,
            when=datetime.now().astimezone().isoformat(timespec="seconds"),
            why=why,
        )
        session.book().correct(case_id, study, made)
        session.begin_forms()


def exchange(case: Case, study: Study) -> None:
    """Readings out as a file, and in from one with any columns, after a look at what will be read."""
    left, right = st.columns(2)
    name = f"{study.study}-readings"
    left.download_button(say("timing.export_csv"), as_csv(study.readings), f"{name}.csv", "text/csv")
    right.download_button(say("timing.export_xlsx"), as_xlsx(study.readings), f"{name}.xlsx")
    if not session.may("edit"):
        return
    if len(study.readings):
        st.info(say("timing.import_full"))
        return
    file = st.file_uploader(
        say("timing.import_file"), type=["csv", "xlsx", "txt"], max_upload_size=MAX_BYTES // 1_000_000
    )
    if file is None:
        return
    try:
        _bring_in(case, study, file.name, file.getvalue())
    except CoresetError as error:
        st.error(layout.plain(error))


def _bring_in(case: Case, study: Study, file: str, content: bytes) -> None:
    table = table_of(file, content)
    memory = f"columns:{'|'.join(table.heads)[:180]}"
    kept = json.loads(session.book().mapping(memory) or "{}")
    reader = _reader(table.heads, kept)
    readings = readings_from(table, reader)
    cycles = len(set(readings.cycle))
    st.markdown(say("timing.import_preview", count=len(readings), cycles=cycles))
    results.rows(reading_rows(replace(study, readings=Readings.of(list(readings)[:PREVIEW]))))
    known = {element.name for element in study.elements}
    rows = [r.element for r in readings if r.mark != "foreign"]
    new = tuple(name for name in dict.fromkeys(rows) if name not in known)
    if new:
        st.warning(layout.plain(say("timing.import_unknown", names=", ".join(new))))
    if st.button(say("timing.import_do"), type="primary"):
        person.who()
        session.book().remember(
            memory, json.dumps({"columns": reader.columns, "form": reader.form, "comma": reader.comma})
        )
        elements = (*study.elements, *(Element(name=name) for name in new))
        filled = replace(study, readings=readings, elements=elements, taken_with="import", origin=file)
        why = say("timing.import_why", study=study.study, file=file)
        attempt(lambda: session.keep(changed(case, filled), why))


def _reader(heads: tuple[str, ...], kept: dict) -> Reader:
    """How to read the table: as last time with these heads, else as their names suggest, else as the user says."""
    first = kept.get("columns") or guess(heads)
    none = say("timing.import_none")
    choices = [none, *filter(None, heads)]
    columns = {}
    for box, name in zip(st.columns(len(FIELDS)), FIELDS, strict=True):
        at = choices.index(first[name]) if first.get(name) in choices else 0
        label = say("timing.import_column", field=say(f"timing.column.{name}"))
        picked = box.selectbox(label, choices, index=at, help=layout.linked(column_help(name)))
        if picked != none:
            columns[name] = picked
    left, right = st.columns(2)
    form = left.selectbox(
        say("timing.import_form"),
        FORMS,
        index=FORMS.index(kept.get("form", "s")),
        format_func=lambda name: say(f"timing.form.{name}"),
        help=layout.word("reading"),
    )
    return Reader(
        columns=columns,
        form=form,
        comma=right.checkbox(say("timing.import_comma"), kept.get("comma", False), help=layout.word("written_style")),
    )
