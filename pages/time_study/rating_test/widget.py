"""The check as a component of the page: its browser part from files, its scenes and words as plain data."""

from __future__ import annotations

from collections.abc import Mapping
from importlib.resources import files
from typing import Any

import streamlit as st

SCRIPTS = ("walker.js", "dealer.js", "rater.js")


def _text(name: str) -> str:
    return files("coreset.pages.time_study.rating_test").joinpath(name).read_text(encoding="utf-8")


_CHECK = st.components.v2.component(
    "coreset_rater",
    html=_text("rater.html"),
    css=_text("rater.css"),
    js="\n".join(_text(name) for name in SCRIPTS),
)


def ratings(asked: Mapping[str, Any]) -> list[float]:
    """Show a check; the ratings once all were given, else none."""
    found = _CHECK(data=asked, key=f"rater-{asked['seed']}", on_rated_change=lambda: None).rated
    if not isinstance(found, Mapping) or found.get("seed") != asked["seed"]:
        return []
    given = [float(rating) for rating in found["given"] if rating in asked["offered"]]
    return given if len(given) == len(asked["scenes"]) else []
