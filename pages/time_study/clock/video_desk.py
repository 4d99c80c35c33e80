"""Marking a recorded job: a video from the folder named at start or from an upload, hashed once."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path

import streamlit as st

from coreset.case import Study
from coreset.pages.parts import layout
from coreset.pages.time_study.clock.widget import clock, words
from coreset.text import say
from coreset.web import session, videos

_UPLOAD = st.components.v2.component(
    "coreset_film_upload",
    html='<label class="upload"><span></span><input type="file" accept="video/*"></label><p role="status"></p>',
    css=".upload { display: grid; gap: 6px; font-size: 18px; }"
    " input { min-height: 64px; font-size: 18px; width: 100%; min-width: 0; }",
    js=files("coreset.pages.time_study.clock").joinpath("upload.js").read_text(encoding="utf-8"),
)


@st.cache_data(show_spinner=say("timing.hashing"), max_entries=64)
def _measured(path: str, _bytes: int, _changed: float) -> videos.Film:
    return videos.measured(Path(path))


def film_clock(case_id: str, study: Study) -> None:
    """Pick a video, then the clock of its frames."""
    found = session.films()
    if session.may("edit"):
        _UPLOAD(data={"words": words(), "case": case_id}, key="film-upload", on_kept_change=lambda: None)
    if not found:
        st.info(say("timing.film_none"))
        return
    name = st.selectbox(say("timing.film"), found, help=layout.word("video"))
    path = videos.find(name, videos.folders())
    if path is not None:
        state = path.stat()
        clock(case_id, study, film=_measured(str(path), state.st_size, state.st_mtime))
