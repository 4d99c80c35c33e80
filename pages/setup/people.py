"""People: who may sign in and do what, for an administrator of shared pages."""

import streamlit as st

from coreset.errors import StudyError
from coreset.text import say
from coreset.web import session
from coreset.web.sign_in import people_list
from coreset.web.sign_in.people import ROLES

OPTIONS = {"role": ROLES, "prices": ("yes", "no")}
HELP = ("plant", "since")


def people_of_server() -> None:
    """The list of people, and the end of a person's sign-ins; nothing where the pages are not shared."""
    if not people_list.is_admin():
        return
    with st.expander(say("door.people.title")):
        st.caption(say("door.people.how"))
        revision, saved = people_list.saved()
        columns = {name: _column(name) for name in people_list.HEADS}
        rows = st.data_editor(
            saved,
            num_rows="dynamic",
            width="stretch",
            key=f"people.{revision}",
            column_order=people_list.HEADS,
            column_config=columns,
        )
        if st.button(say("door.people.save"), type="primary"):
            _save(rows, revision)
        codes = people_list.codes(saved)
        if codes:
            left, right = st.columns([3, 1], vertical_alignment="bottom")
            code = left.selectbox(say("door.people.end"), codes, help=say("door.people.end_help"))
            if right.button(say("door.people.end_now")):
                _save(people_list.ended(saved, code), revision)


def _column(name: str) -> object:
    label, told = say(f"door.people.{name}"), say(f"door.people.{name}_help") if name in HELP else None
    if name in OPTIONS:
        return st.column_config.SelectboxColumn(label, options=OPTIONS[name])
    return st.column_config.TextColumn(label, help=told)


def _save(rows: object, revision: int) -> None:
    try:
        with session.told():
            people_list.save(rows, base=revision)
            st.session_state[session.KEPT] = say("door.people.saved")
    except StudyError as error:
        st.error(str(error))
        return
    st.rerun()
