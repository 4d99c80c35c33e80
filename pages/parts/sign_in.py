"""The door as it is seen: sign in, why somebody is not let in, who is in and how to leave."""

from __future__ import annotations

import streamlit as st

from coreset.text import say
from coreset.web.sign_in.people import Person
from coreset.web.sign_in.visit import Visit


def stay_out(found: Visit) -> None:
    """The page of somebody who is not in: nothing of the book, and what to do."""
    st.title(say("front.name"), anchor=False)
    st.markdown(say(f"door.{found.reason}"))
    if found.reason in ("unknown", "closed"):
        st.code(found.subject, language=None, wrap_lines=True)
        st.button(say("door.leave"), on_click=st.logout)
    else:
        st.button(say("door.enter"), type="primary", on_click=st.login)


def inside(person: Person) -> None:
    """Who is in, what they may do, and the way out."""
    left, right = st.columns([5, 1], vertical_alignment="center")
    left.caption(say(f"door.in_{person.role}", code=person.code))
    right.button(say("door.leave"), on_click=st.logout, type="tertiary", help=say("door.leave_help"))
