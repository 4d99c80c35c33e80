"""The part of Handling on actions: what will be changed about each job, by whom, until when, and how it went."""

from collections.abc import Sequence
from functools import partial
from typing import Any

import streamlit as st

from coreset.brief.case_status import faults_by_column
from coreset.brief.lift_record import card_pdf, record_pdf
from coreset.case import Case
from coreset.case.action import of_job
from coreset.case.codes import safe_name
from coreset.errors import OutOfRange, StudyError
from coreset.forms.editing import changed, kind_of
from coreset.forms.fields import fields, known
from coreset.lifting.report import actions as words
from coreset.pages.parts import fields as widgets
from coreset.pages.parts import layout, results
from coreset.report.camera_picture import MOST_MEGABYTES, TYPES
from coreset.text import say
from coreset.web import navigation, pictures, session

PLACE, WRONG = "actions", "actions_wrong"


def actions_on_jobs(case: Case, found: Any, jobs: Sequence[Any]) -> None:
    """Actions as they stand today, record and card of a job, and a form that begins an action from a job."""
    today = session.today()
    results.sentences(
        [words.overdue_sentence(case.actions, today), words.reassess_sentence(case.actions, today)], show=st.warning
    )
    if case.actions:
        results.rows(lambda: words.action_rows(case.actions, today), "handling.actions", today)
        navigation.link("facts", say("handling.action.edit"), place=PLACE)
    else:
        st.caption(say("handling.action.none"))
    failed, wrong = st.session_state.pop(WRONG, ("", {}))
    new = words.begun(jobs, case.actions)
    job = st.selectbox(say("handling.action.job"), list(new), key="action_job", help=layout.word("lifting_index"))
    if job is None:
        return
    photo = _papers(case, found, next(one for one in jobs if words.job_of(one) == job))
    with st.expander(say("handling.action.add"), expanded=bool(wrong)):
        form = session.form_of(PLACE, job)
        asked = fields(kind_of(case, PLACE), case.units, known(case, PLACE, None), case.currency)
        layout.wrong(wrong if failed == form else {}, at=[one.column for one in asked])
        typed = widgets.form(asked, new[job], key=form, wrong=wrong if failed == form else {})
    if typed is not None:
        try:
            with session.told():
                kept = changed(case, PLACE, typed | {"picture": photo}, row=len(case.actions))
                session.keep(kept, words.action_text(kept.actions[-1]))
        except StudyError as error:
            st.session_state[WRONG] = (form, faults_by_column(error))
        st.rerun()


def _papers(case: Case, found: Any, job: Any) -> str:
    """The record of a job and the card for its station, each made when it is asked for; the photo just uploaded."""
    shown = _photo(case, job)
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
    return shown


def _photo(case: Case, job: Any) -> str:
    """Take a photo of a job, show the one that is stored, and save the new one with the job's latest action."""
    own = of_job(case.actions, job.pattern, job.method)
    for one in [one for one in own if one.picture][:1]:
        st.image(one.picture, caption=layout.plain(say("handling.action.photo_stored", change=one.change)), width=240)
    chosen = st.file_uploader(
        say("handling.action.photo"),
        TYPES,
        max_upload_size=MOST_MEGABYTES,
        key=f"photo_{words.job_of(job)}",
        help=say("handling.action.photo_help"),
    )
    try:
        shown = pictures.small(chosen.getvalue(), name="photo") if chosen else ""
    except OutOfRange as error:
        st.error(str(error))
        return ""
    if shown and own:
        st.button(
            layout.plain(say("handling.action.photo_keep", change=own[0].change)),
            key="photo_keep",
            disabled=not session.may("edit") or own[0].picture == shown,
            on_click=_keep_photo,
            args=(case, own[0], shown),
        )
    elif shown:
        st.caption(say("handling.action.photo_with_new"))
    return shown


def _keep_photo(case: Case, action: Any, shown: str) -> None:
    """Store a photo with an action."""
    with session.told():
        kept = changed(case, PLACE, {"picture": shown}, row=case.actions.index(action))
        session.keep(kept, say("handling.action.photo_kept", job=words.job_of(action)))
