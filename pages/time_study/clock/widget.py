"""The clock as a component of the page: its browser part from files, its words and study as plain data."""

from __future__ import annotations

from collections.abc import Mapping
from importlib.resources import files
from typing import Any

import streamlit as st

from coreset.case import Study
from coreset.study.clock_tables import dependence, t_quantiles
from coreset.text import catalogue
from coreset.web import person, session, videos

RATINGS = tuple(range(70, 135, 5))
PRECISION = 0.05
"""Wanted half width of the 95 % interval over the mean cycle; common practice, no source."""
SCRIPTS = ("journal.js", "session.js", "film.js", "clock.js", "face.js")
WORDS = "timing.clock."


def _text(name: str) -> str:
    return files("coreset.pages.time_study.clock").joinpath(name).read_text(encoding="utf-8")


_CLOCK = st.components.v2.component(
    "coreset_clock",
    html=_text("clock.html"),
    css=_text("clock.css"),
    js="\n".join(_text(name) for name in SCRIPTS),
)


def words() -> dict[str, str]:
    """Every text of the clock by its name."""
    return {key.removeprefix(WORDS): text for key, text in catalogue().items() if key.startswith(WORDS)}


def clock(case_id: str, study: Study, *, film: videos.Film | None = None) -> None:
    """Show the clock of a study; with a film its frames are marked instead of a live job."""
    _CLOCK(
        data=widget_data(case_id, study, film=film),
        key=f"clock-{case_id}-{study.study}-{film.name if film else ''}",
        on_finished_change=lambda: None,
    )


def _locked(study: Study) -> str:
    """Why the clock takes no press, as a key of its words; empty if it takes them."""
    if study.signed:
        return "locked"
    if not study.elements:
        return "no_elements"
    return "full" if len(study.readings) and study.taken_with in ("watch", "import") else ""


def widget_data(case_id: str, study: Study, *, film: videos.Film | None = None) -> Mapping[str, Any]:
    """What the browser part needs to know."""
    elements = [
        {"name": e.name, "occasional": e.occasional, "per_mold": e.per_mold, "earlier": e.earlier}
        for e in study.elements
    ]
    breakpoints = {e.name: {"words": e.breakpoint, "picture": e.picture} for e in study.elements}
    where = " · ".join((study.study, study.pattern, study.method, words()[study.timing]))
    video = film and {"name": film.name, "bytes": film.bytes, "sha256": film.sha256, "url": f"/api/video/{film.name}"}
    return {
        "case": case_id,
        "study": study.study,
        "timing": study.timing,
        "elements": elements,
        "breakpoints": {name: each for name, each in breakpoints.items() if any(each.values())},
        "where": where,
        "rating": study.rating_pct,
        "ratings": RATINGS,
        "precision": PRECISION,
        "t": t_quantiles(),
        "dependence": dependence(),
        "locked": _locked(study),
        "who": person.code(),
        "video": video,
        "decimal": session.decimal(),
        "words": words(),
    }
