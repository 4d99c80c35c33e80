"""In the place of a page that cannot be: what is still wanting and where to enter it, or why it was refused."""

from __future__ import annotations

import streamlit as st

from coreset.brief.case_status import next_step
from coreset.errors import BookError, CoresetError, StudyError
from coreset.pages.parts import layout, results
from coreset.text import say
from coreset.web import navigation, session


def refused(error: CoresetError) -> None:
    """Say it in plain words; a case that is not complete is not an error but a beginning."""
    todo = next_step(session.case()) if session.is_read() and not isinstance(error, BookError) else None
    if todo is None:
        st.error(say("front.refused"))
        results.rows(layout.faults(error)) if isinstance(error, StudyError) else st.caption(layout.plain(error))
        return
    layout.answer(say("front.not_yet", words=todo.words))
    page, place = todo.entered
    navigation.link(page, say("front.guide.to", page=say(f"front.page.{page}")), **({"place": place} if place else {}))
    navigation.link("guide", say("front.first_time"))
    st.caption(layout.plain(error))
