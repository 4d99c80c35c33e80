"""Readings of a study on the page: seen, corrected beside what was taken, brought in and taken out."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import datetime

import streamlit as st

from coreset.case import Case, Correction, Element, Readings, Study
from coreset.errors import BookError, CoresetError
from coreset.pages.parts import layout, results
from coreset.pages.time_study.clock.desk import attempt, changed, standard_of_study
from coreset.store.folder.readings_import import FIELDS, MAX_MEGABYTES, as_csv, as_xlsx, guess
from coreset.store.intake import Intake, Question, choice_words, heads_in, take_in
from coreset.study.charts import series as charts
from coreset.study.earlier import known_seconds
from coreset.study.judging import first_to_judge, judged
from coreset.study.report.progress import with_all
from coreset.study.report.timing import column_help, reading_heads, reading_label, reading_rows, trail_rows
from coreset.text import say
from coreset.web import person, session

ACTIONS = ("exclude", "relabel", "rerate", "restore")
PREVIEW = 8


def corrections(case_id: str, study: Study) -> None:
    """A chart of single readings with a form to correct one beside it, all readings, and the trail of corrections."""
    if not len(study.readings):
        st.info(say("timing.no_readings"))
        return
    form = session.form_of("correct", study.study)
    left, right = st.columns([3, 2])
    with left:
        _chart(study, form)
    with right:
        _correction(case_id, study, form)
    if study.corrections:
        results.rows(trail_rows(study.corrections))
    else:
        st.markdown(say("timing.no_trail"))
    heads = {
        head: st.column_config.Column(help=layout.linked(column_help(name)))
        for name, head in reading_heads(study).items()
    }
    rows = results.as_read(reading_rows(study))
    st.dataframe(rows, hide_index=True, height=330, width="stretch", column_config=heads)


def _chart(study: Study, form: str) -> None:
    """Readings of one element, to be picked; what is picked is the one that the form is about."""
    names = [element.name for element in study.elements]
    first = session.once(lambda: first_to_judge(study), "first_to_judge", study.study)
    told = {"key": f"judge.{study.study}", "help": layout.word("element")}
    element = st.selectbox(say("study.judge.element"), names, names.index(first), **told)
    shown = next(one for one in study.elements if one.name == element)
    ends = layout.plain(say("study.judge.ends", breakpoint=shown.breakpoint)) if shown.breakpoint else None
    if shown.picture:
        st.image(shown.picture, caption=ends or layout.plain(element), width=240)
    elif ends:
        st.caption(ends)
    rows = session.once(lambda: judged(study, element), "judged", study.study, element)
    key = f"{form}.chart.{element}"
    results.pickable(
        lambda: charts.judging(element, rows),
        *("judging", study.study, element),
        key=key,
        picked=lambda seq: st.session_state.update({f"{form}.reading": seq}),
    )
    standard = standard_of_study(session.case(), study)
    if standard is not None and standard.with_all_s != standard.standard_s:
        st.markdown(layout.plain(with_all(standard)))


def _correction(case_id: str, study: Study, form: str) -> None:
    st.header(say("timing.correct"), anchor=False)
    st.caption(say("study.judge.how"))
    known = {one.seq: one for one in study.readings}
    with st.form("correct", border=False):
        st.selectbox(
            say("timing.correct_which"),
            list(known),
            format_func=lambda seq: session.in_manner(reading_label(study, known[seq])),
            key=f"{form}.reading",
            help=layout.word("reading"),
        )
        st.selectbox(
            say("timing.correct_action"),
            ACTIONS,
            format_func=lambda name: say(f"timing.action.{name}"),
            key=f"{form}.action",
            help=layout.word("correction"),
        )
        st.text_input(say("timing.correct_value"), key=f"{form}.value", help=layout.word("rating"))
        st.text_input(say("timing.correct_why"), key=f"{form}.why", help=layout.word("correction"))
        locked = bool(study.signed) or not session.may("edit")
        st.form_submit_button(
            say("timing.correct_keep"),
            type="primary",
            disabled=locked,
            on_click=_correct,
            args=(case_id, study.study, form),
        )
    st.caption(say("timing.kept_raw"))


def _correct(case_id: str, study: str, form: str) -> None:
    """Keep the correction that the form holds; a callback, so that the reading is the one that was shown and chosen."""
    typed = {name: st.session_state[f"{form}.{name}"] for name in ("reading", "action", "value", "why")}
    with session.told():
        by, action, why = person.who(), typed["action"], typed["why"].strip()
        if not why:
            raise BookError(say("timing.correct_why_missing"))
        made = Correction(
            seq=typed["reading"],
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
    file = st.file_uploader(say("timing.import_file"), type=["csv", "xlsx", "txt"], max_upload_size=MAX_MEGABYTES)
    if file is None:
        return
    try:
        _bring_in(case, study, file.name, file.getvalue())
    except CoresetError as error:
        st.error(layout.plain(error))


def _bring_in(case: Case, study: Study, file: str, content: bytes) -> None:
    """What a sheet holds, what was guessed of it and what must be answered; kept only when nothing is open."""
    found, answers, memory = _answered(study, file, content, known_seconds(case, study))
    for one in found.told:
        st.markdown(layout.plain(one.words))
    if found.questions:
        st.info(say("timing.import_open", count=len(found.questions)))
        return
    readings = found.readings
    cycles = len(set(readings.cycle))
    st.markdown(say("timing.import_preview", count=len(readings), cycles=cycles))
    filled = replace(study, readings=readings, taken_with="import", origin=file, timing=found.timing)
    results.rows(reading_rows(replace(filled, readings=Readings.of(list(readings)[:PREVIEW]))))
    known = {element.name for element in study.elements}
    rows = [r.element for r in readings if r.mark != "foreign"]
    new = tuple(name for name in dict.fromkeys(rows) if name not in known)
    if new:
        st.warning(layout.plain(say("timing.import_unknown", names=", ".join(new))))
    if st.button(say("timing.import_do"), type="primary"):
        person.who()
        session.book().remember(memory, json.dumps(answers))
        filled = replace(filled, elements=(*study.elements, *(Element(name=name) for name in new)))
        why = say("timing.import_why", study=study.study, file=file)
        attempt(lambda: session.keep(changed(case, filled), why))


def _answered(study: Study, file: str, content: bytes, known: dict[str, float]) -> tuple[Intake, dict[str, str], str]:
    """The sheet with the answers given so far, last time's where the heads are the same; each answer may ask more."""
    answers = _place(file, content)
    found = take_in(file, content, timing=study.timing, answers=answers, known=known)
    memory, last = _last(found.heads)
    while given := {q.code: said for q in found.questions if (said := _answer(q, last.get(q.code))) is not None}:
        answers |= given
        found = take_in(file, content, timing=study.timing, answers=answers, known=known)
        if given.keys() & {question.code for question in found.questions}:
            break
    return found, answers, memory


def _place(file: str, content: bytes) -> dict[str, str]:
    """Sheet, head row and columns: as found, or as chosen."""
    try:
        found = take_in(file, content)
        row, heads, columns, sheets = found.head_row, found.heads, found.columns, found.sheets
    except CoresetError:
        (row, heads), sheets = heads_in(file, content, {}), ()
        columns = guess(heads)
    answers = {}
    with st.expander(say("timing.import_place"), expanded=not sheets):
        left, right = st.columns(2)
        if sheets[1:]:
            answers["sheet"] = left.selectbox(
                say("timing.import_sheet"), sheets, sheets.index(found.sheet), help=layout.word("reading")
            )
        head = right.number_input(say("timing.import_head"), 1, value=row, help=layout.word("reading"))
        if head != row or answers.get("sheet") not in (None, *sheets[:1]):
            answers["head_row"] = str(head)
            heads = heads_in(file, content, answers)[1]
        return answers | _columns(heads, columns)


def _last(heads: tuple[str, ...]) -> tuple[str, dict[str, str]]:
    """Name under which answers for sheets of these heads are remembered, and those of last time."""
    memory = f"intake:{'|'.join(heads)[:180]}"
    return memory, json.loads(session.book().mapping(memory) or "{}")


def _columns(heads: tuple[str, ...], columns: dict[str, str]) -> dict[str, str]:
    """Columns that were chosen otherwise than guessed, now or last time."""
    none, chosen, last = say("timing.import_none"), {}, _last(heads)[1]
    choices = [none, *dict.fromkeys(filter(None, heads))]
    for box, name in zip(st.columns(len(FIELDS)), FIELDS, strict=True):
        guessed = columns.get(name, none)
        shown = (last[f"column {name}"] or none) if f"column {name}" in last else guessed
        label = say("timing.import_column", field=say(f"timing.column.{name}"))
        at = choices.index(shown) if shown in choices else 0
        picked = box.selectbox(label, choices, at, help=layout.linked(column_help(name)))
        if picked != guessed:
            chosen[f"column {name}"] = "" if picked == none else picked
    return chosen


def _answer(question: Question, last: str | None) -> str | None:
    """The answer chosen or typed; None while there is none."""
    if not question.choices:
        return st.text_input(layout.plain(question.words), last or "", help=layout.word("reading")) or None
    return st.selectbox(
        layout.plain(question.words),
        question.choices,
        question.choices.index(last) if last in question.choices else None,
        format_func=choice_words,
        help=layout.word("reading"),
    )
