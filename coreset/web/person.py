"""The code of the person at the screen: of the sign-in, as typed, or as this browser remembers it."""

from __future__ import annotations

from urllib.parse import unquote

import streamlit as st

from coreset.case.codes import alphabet_rule, unseen_rule
from coreset.case.people import ORIGINS
from coreset.errors import BookError
from coreset.text import say
from coreset.web.sign_in import visit
from coreset.web.sign_in.people import Person

WHO = "who"
COOKIE = "coreset_who"
"""Where the browser remembers the code of the person who uses it."""
CODE_LENGTH = 40


def guest() -> Person | None:
    """The person who signed in; None where nobody has to, or nobody has."""
    return visit.visit().person if visit.shared() else None


def known() -> str:
    """Code of the person who signed in; empty where nobody has to."""
    person = guest()
    return person.code if person else ""


def call_me(key: str) -> None:
    """Take the code that was typed as the person's."""
    st.session_state[WHO] = st.session_state.get(key, "").strip()[:CODE_LENGTH]


def code() -> str:
    """Code of the person at the screen: of the sign-in, else as typed, else as this browser remembers it; or empty."""
    if found := known():
        return found
    kept = st.session_state.get(WHO)
    return unquote(st.context.cookies.get(COOKIE, "")).strip()[:CODE_LENGTH] if kept is None else kept


def typed() -> bool:
    """Whether a code was typed in this session."""
    return WHO in st.session_state


def who() -> str:
    """Code of the person at the screen, for the trail of changes.

    Raises
    ------
    BookError
        If there is none, it is the word for what no person is behind, or it could be taken for another's.
    """
    found = code()
    if not found:
        raise BookError(say("front.code.missing"))
    if found.casefold() in ORIGINS:
        raise BookError(say("front.code.taken", code=found))
    if rule := unseen_rule(found) or alphabet_rule(found):
        raise BookError(say("front.code.unlike", rule=rule))
    return found
