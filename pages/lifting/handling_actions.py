"""The part of Handling on actions: what will be changed about each job, by whom, until when, and how it went."""

from collections.abc import Sequence
from functools import partial
from typing import Any

import streamlit as st

from coreset.brief.case_status import faults_by_column
from coreset.brief.lift_record import card_pdf, record_pdf
from coreset.brief.photo import photo
from coreset.case import Case
from coreset.case.codes import safe_name
from coreset.errors import OutOfRange, StudyError
from coreset.forms.editing import changed, kind_of
from coreset.forms.fields import fields, known
from coreset.lifting.report import actions as words
from coreset.pages.parts import fields as widgets
from coreset.pages.parts import layout, results
from coreset.report.camera_picture import MOST_MEGABYTES, TYPES
from coreset.text import say
from coreset.web import navigation, session

PLACE, WRONG = "actions", "actions_wrong"


def actions_on_jobs(case: Case, found: Any, jobs: Sequence[Any]) -> None:
    """Actions as they stand today, record and card of a job, and a form that begins an action from a job."""
    today = session.today()
    results.sentences(
        [words.overdue_sentence(case.actions, today), words.reassess_sentence(case.actions, today)], show=st.warning
    )
    if case.actions:
        results.rows(words.action_rows(case.actions, today))
        navigation.link("facts", say("handling.action.edit"), place=PLACE)
    else:
        st.caption(say("handling.action.none"))
    failed, wrong = st.session_state.pop(WRONG, ("", {}))
    new = words.begun(jobs, case.actions)
    job = st.selectbox(say("handling.action.job"), list(new), key="action_job", help=layout.word("lifting_index"))
    if job is None:
        return
    _papers(found, next(one for one in jobs if words.job_of(one) == job))
    with st.expander(say("handling.action.add"), expanded=bool(wrong)):
        form = session.form_of(PLACE, job)
        asked = fields(kind_of(case, PLACE), case.units, known(case, PLACE, None), case.currency)
        layout.wrong(wrong if failed == form else {}, at=[one.column for one in asked])
        typed = widgets.form(asked, new[job], key=form, wrong=wrong if failed == form else {})
    if typed is not None:
        try:
            with session.told():
                kept = changed(case, PLACE, typed, row=len(case.actions))
                session.keep(kept, words.action_text(kept.actions[-1]))
        except StudyError as error:
            st.session_state[WRONG] = (form, faults_by_column(error))
        st.rerun()


def _papers(found: Any, job: Any) -> None:
    """The record of a job and the card for its station, each made when it is asked for."""
    chosen = st.file_uploader(
        say("handling.action.photo"),
        TYPES,
        max_upload_size=MOST_MEGABYTES,
        key=f"photo_{words.job_of(job)}",
        help=say("handling.action.photo_help"),
    )
    shown = chosen.getvalue() if chosen else b""
    try:
        if shown:
            photo(shown)
    except OutOfRange as error:
        st.error(str(error))
        shown = b""
    makers = {"record": partial(record_pdf, found, job, shown), "card": partial(card_pdf, found, job)}
    for column, (name, make) in zip(st.columns(2), makers.items(), strict=True):
        column.download_button(
            say(f"handling.action.{name}"),
            make,
            f"{safe_name(words.job_of(job))} {name}.pdf",
            "application/pdf",
            on_click="ignore",
            help=say(f"handling.action.{name}_help"),
            width="stretch",
        )
