"""What follows from a case, calculated once for the same content and kept in the server's memory."""

from __future__ import annotations

from collections.abc import Callable
from time import sleep
from typing import Any

import streamlit as st

from coreset.case import Case
from coreset.case.digest import digest
from coreset.store.book.rows import today
from coreset.text import say
from coreset.web.calculation import Results, answered
from coreset.web.framework import FROZEN

MOST_KEPT = 4
"""Assessments kept in memory."""
MOST_ANSWERS = 2
"""Answers of changed cases kept in memory: each holds the runs of its options."""
DRAWN_S = 0.25
"""How long the browser has to draw what was sent, before the processors are taken by a calculation of seconds. [s]"""
MOST_MADE = 256
"""Results for a choice that are kept in memory."""
MOST_WRITTEN = 1024
"""Texts of pages that are kept in memory: a chart's may have 100 KB, a table's 30, most have far less."""


@st.cache_resource(show_spinner=False, max_entries=8, hash_funcs={Case: id})
def _named(found: Case) -> tuple[str, Case]:
    """Name of a case's content, and the case: while it is held, no other one has its place in memory."""
    return digest(found), found


def content(found: Case) -> str:
    """Name of a case's content; calculated once for the same value."""
    return _named(found)[0]


def assessment_of(found: Case) -> Any:
    """What follows from any case; calculated once for the same content and day.

    The place of the bar is there in every run: else what stands after it would move up in the next run, and a tab that
    was chosen would fall back to the first.
    """
    key, known, bar = f"{content(found)} {today()}", _results(), st.empty()
    if (result := known.get(key)) is None:
        bar.progress(0.0, say("front.wait"))
        sleep(DRAWN_S)
        result = known.awaited(key, found, lambda stage, share: bar.progress(share, say(f"cli.stage.{stage}")))
        bar.empty()
    elif key not in _settled():
        _settled().add(key)
        FROZEN.add_all()
    return result


@st.cache_resource(show_spinner=False, max_entries=MOST_ANSWERS)
def _answer(content: str, day: str, _found: Case) -> Any:
    return answered(_found, day=day)


def answer_of(found: Case) -> Any:
    """The verdict of a case that is being changed, and what it rests on; nothing else is calculated."""
    return _answer(content(found), today(), found)


@st.cache_resource(show_spinner=False)
def _settled() -> set[str]:
    """Contents whose results stay: asked for again after they were shown, so that the first answer does not wait."""
    return set()


@st.cache_resource(show_spinner=False)
def _results() -> Results:
    """What was calculated last, by content; shared by the sessions of a server."""
    return Results(MOST_KEPT, lambda content: _settled().discard(content))


@st.cache_resource(show_spinner=False, max_entries=MOST_MADE)
def made(content: str, of: str, _make: Callable[[], Any]) -> Any:
    """What is made for a content and a choice, made once.

    Parameters
    ----------
    content : str
        Digest of the content it follows from.
    of : str
        What is made, and the choices it follows from besides.
    _make : callable
        Makes it; no part of the key.
    """
    return _make()


@st.cache_resource(show_spinner=False, max_entries=MOST_WRITTEN)
def written(content: str, of: str, _write: Callable[[], Any]) -> Any:
    """Text, or a few texts, that a content and a choice give, written once: small beside what they were made of.

    Parameters
    ----------
    content : str
        Digest of the content it follows from.
    of : str
        What is written, and the choices it follows from besides.
    _write : callable
        Writes it; no part of the key.
    """
    return _write()
