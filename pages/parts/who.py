"""Who is at the screen, by code: asked for on every page, never guessed, remembered on the device."""

from __future__ import annotations

from importlib.resources import files

import streamlit as st

from coreset.case.people import name_like
from coreset.pages.parts import layout
from coreset.text import say
from coreset.web import person

KEY = "who_typed"
WIDTH_PX = 120
_REMEMBER = st.components.v2.component(
    "coreset_who", html="<span></span>", js=files("coreset.pages.parts").joinpath("who.js").read_text(encoding="utf-8")
)


def ask() -> None:
    """The field for the code, in a line; the sign-in says it where there is one."""
    if person.known():
        return
    with st.container(horizontal=True, gap="xsmall", vertical_alignment="center", width="content", key="who"):
        st.caption(say("front.code.label"), width="content", help=layout.word("code_of_a_person"))
        st.text_input(
            say("front.code.label"),
            person.code(),
            key=KEY,
            on_change=person.call_me,
            args=(KEY,),
            max_chars=person.CODE_LENGTH,
            help=layout.word("code_of_a_person"),  # not shown beside a label that is not, so it stands beside the words
            label_visibility="collapsed",
            width=WIDTH_PX,
        )
        if person.typed():
            _REMEMBER(data={"who": person.code()}, key="who-kept")


def warning() -> str:
    """That a name stands in the place of the code; empty if none does."""
    return say("warnings.study.name_like", where=say("front.code.label")) if name_like(person.code()) else ""
