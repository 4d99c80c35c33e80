"""The elements of the plant: a table of all of them, a new name for one, two spellings made one."""

from __future__ import annotations

import streamlit as st

from coreset.case import Case
from coreset.errors import BookError, OutOfRange
from coreset.forms.editing import refuse_new_faults
from coreset.pages.parts import layout, results
from coreset.report.camera_picture import MOST_MEGABYTES, TYPES
from coreset.study.library import Entry, alike, blocked, joined, library, pictured, renamed
from coreset.study.report.library import library_rows
from coreset.text import say
from coreset.web import person, pictures, session


def of_plant(case: Case) -> tuple[Entry, ...]:
    """Elements of the case, then those of other cases of its plant."""
    return joined(library(case), {name: library(other) for name, other in session.cases_of_plant().items()})


def element_library(case: Case) -> None:
    """The table, the pairs of names that look alike, and a form that renames an element in every study."""
    entries = of_plant(case)
    if not entries:
        st.info(say("timing.library.none"))
        return
    st.markdown(say("timing.library.words"))
    own = [entry.element.name for entry in library(case)]
    locked = not session.may("edit")
    for number, (one, other) in enumerate(alike(entry.element.name for entry in entries)):
        if one not in own and other not in own:
            continue
        with st.container(horizontal=True, vertical_alignment="center"):
            st.markdown(layout.plain(say("timing.library.alike", one=one, other=other)), width="content")
            for old, new in ((other, one), (one, other)):
                st.button(
                    layout.plain(say("timing.library.merge", name=new)),
                    key=f"merge.{number}.{new}",
                    disabled=locked or old not in own,
                    on_click=_rename,
                    args=(case, old, new),
                )
    results.rows(library_rows(entries))
    _pictures(case, entries)
    form = session.form_of("library")
    with st.form("library", border=False):
        left, right = st.columns(2)
        left.selectbox(say("timing.library.which"), own, key=f"{form}.old", help=layout.word("element"))
        right.text_input(say("timing.library.new"), key=f"{form}.new", help=layout.word("element"))
        st.form_submit_button(say("timing.library.do"), disabled=locked, on_click=_rename_typed, args=(case, form))


def _pictures(case: Case, entries: tuple[Entry, ...]) -> None:
    """The pictures that there are, each under its name, and a form that takes one."""
    with st.container(horizontal=True):
        for element in (entry.element for entry in entries):
            if element.picture:
                st.image(element.picture, caption=layout.plain(element.name), width=240)
    if not session.may("edit"):
        return
    own = [entry.element.name for entry in library(case)]
    with st.form("picture", border=False):
        form = session.form_of("picture")
        left, right = st.columns(2)
        label = say("timing.library.which")
        left.selectbox(label, own, key=f"{form}.name", help=layout.word("element"))
        label = say("timing.library.picture")
        right.file_uploader(label, type=TYPES, max_upload_size=MOST_MEGABYTES, key=f"{form}.file")
        st.caption(say("timing.library.picture_words"))
        st.form_submit_button(say("timing.library.picture_do"), on_click=_take, args=(case, form))


def _take(case: Case, form: str) -> None:
    """Save the picture that was chosen for an element."""
    with session.told():
        person.who()
        name, file = st.session_state[f"{form}.name"], st.session_state[f"{form}.file"]
        if file is None:
            raise BookError(say("timing.library.picture_missing"))
        try:
            changed = pictured(case, name, pictures.small(file.getvalue(), name=file.name))
        except OutOfRange as error:
            raise BookError(str(error)) from error
        if changed == case:
            raise BookError(say("timing.library.picture_signed", name=name))
        session.keep(changed, say("timing.library.picture_done", name=name))


def _rename_typed(case: Case, form: str) -> None:
    _rename(case, st.session_state[f"{form}.old"], st.session_state[f"{form}.new"].strip())


def _rename(case: Case, old: str, new: str) -> None:
    """Save an element under another name in every study that can take it; those that cannot are named."""
    with session.told():
        person.who()
        if not new or new == old:
            raise BookError(say("timing.library.new_missing"))
        changed = renamed(case, old, new)
        if changed == case:
            raise BookError(say("timing.library.blocked", old=old, studies=", ".join(blocked(case, old, new))))
        refuse_new_faults(case, changed)
        left = ", ".join(blocked(case, old, new))
        key = "timing.library.done_but" if left else "timing.library.done"
        session.keep(changed, say(key, old=old, new=new, studies=left))
