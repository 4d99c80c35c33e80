"""Who is at the screen, by code: asked for, never guessed, remembered on the device."""

from __future__ import annotations

from importlib.resources import files

import streamlit as st

from coreset.brief import say
from coreset.case.people import name_like
from coreset.errors import BookError
from coreset.pages import parts, session

KEY = "timing_who"
_REMEMBER = st.components.v2.component(
    "coreset_who", html="<span></span>", js=files("coreset.pages.clock").joinpath("who.js").read_text(encoding="utf-8")
)


def ask() -> None:
    """The field for the code; what looks like a name is told."""
    st.text_input(
        say("timing.by_code"),
        session.code(),
        key=KEY,
        on_change=session.call_me,
        args=(KEY,),
        max_chars=session.CODE_LENGTH,
        disabled=bool(session.known()),
        help=parts.word("code_of_a_person"),
    )


def remember() -> None:
    """Keep the code on the device, and warn where a name stands in its place."""
    if name_like(session.code()):
        st.warning(parts.plain(say("warnings.study.name_like", where=say("timing.by_code"))))
    _REMEMBER(data={"who": session.code()}, key="who-kept")


def required() -> str:
    """The code.

    Raises
    ------
    BookError
        If there is none.
    """
    if not session.code():
        raise BookError(say("timing.code_missing"))
    return session.code()
