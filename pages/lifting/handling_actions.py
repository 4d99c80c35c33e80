"""The part of Handling on actions: what will be changed about each job, by whom, until when, and how it went."""

from collections.abc import Sequence
from typing import Any

import streamlit as st

from coreset.brief.case_status import faults_by_column
from coreset.case import Case
from coreset.errors import StudyError
from coreset.forms.editing import changed, kind_of
from coreset.forms.fields import fields, known
from coreset.lifting.report import actions as words
from coreset.pages.parts import fields as widgets
from coreset.pages.parts import layout, results
from coreset.text import say
from coreset.web import navigation, session

PLACE, WRONG = "actions", "actions_wrong"


def show(case: Case, jobs: Sequence[Any]) -> None:
    """Actions as they stand today, and a form that begins one from a job."""
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
    with st.expander(say("handling.action.add"), expanded=bool(wrong)):
        job = st.selectbox(say("handling.action.job"), list(new), key="action_job", help=layout.word("lifting_index"))
        if job is None:
            return
        form = session.form_of(PLACE, job)
        asked = fields(kind_of(case, PLACE), case.units, known(case, PLACE, None))
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
