"""In the place of a page that cannot be: what is still wanting and where to enter it, or why it was refused."""

from __future__ import annotations

import streamlit as st

from coreset.brief import say
from coreset.brief.say_case import next_step
from coreset.errors import BookError, CoresetError, StudyError
from coreset.pages import parts, plan, results, session


def refused(error: CoresetError) -> None:
    """Say it in plain words; a case that is not complete is not an error but a beginning."""
    todo = next_step(session.case()) if session.is_read() and not isinstance(error, BookError) else None
    if todo is None:
        st.error(say("front.refused"))
        results.rows(parts.faults(error)) if isinstance(error, StudyError) else st.caption(parts.plain(error))
        return
    parts.answer(say("front.not_yet", words=todo.words))
    page, place = todo.entered
    plan.link(page, say("front.guide.to", page=say(f"front.page.{page}")), **({"place": place} if place else {}))
    plan.link("guide", say("front.first_time"))
    st.caption(parts.plain(error))
