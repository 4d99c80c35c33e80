"""The book that is worked on and the case that is open in it, as it was read for this run of a page."""

from __future__ import annotations

import os
from contextlib import suppress
from dataclasses import replace

import streamlit as st

from coreset.case import Case, Readings
from coreset.errors import CoresetError
from coreset.report import numbers
from coreset.store.book import Book, book_url
from coreset.store.book.rows import received
from coreset.web import videos
from coreset.web.person import guest
from coreset.web.shelf import first_case
from coreset.web.sign_in import visit
from coreset.web.sign_in.allowed import AllowedRequests
from coreset.web.video_plants import may_see

CASE_VARIABLE = "CORESET_CASE"
MOST_NEIGHBORS = 100
"""Environment variable with the name of the case that is opened first."""
BASE, OPEN, NOW = "base_revision", "case_id", "case_now"


@st.cache_resource(show_spinner=False, max_entries=4, on_release=Book.close)
def _book(url: str) -> Book:
    return Book(url)


def shared() -> Book:
    """The book that pages and routes of the server work on together, whoever asks."""
    return _book(book_url())


def close() -> None:
    """Let go of the book, at the end of the server."""
    _book.clear()


def book() -> Book | AllowedRequests:
    """The book that the server works on; where pages are shared, as far as the role of the person there reaches."""
    opened = shared()
    return AllowedRequests(opened, guest) if visit.shared() else opened


def may(needed: str) -> bool:
    """Whether the person at the screen may do what needs that role; everybody may where nobody has to sign in."""
    person = guest()
    plant = case().plant if is_read() else None
    return person.may(needed, plant) if person else not visit.shared()


def sees_prices(name: str = "") -> bool:
    """Whether the person at the screen may see the prices of a case; of the open one without a name."""
    person = guest()
    return person is None or person.sees_prices(book().plant(name or case_id()) or "")


def films() -> tuple[str, ...]:
    """Names of the videos that the person at the screen may see."""
    person = guest()
    return tuple(name for name in videos.names(videos.folders()) if may_see(person, name, shared()))


def ready() -> None:
    """Open the book and the case that a server opens first before anybody asks; what cannot be is told on the page."""
    with suppress(CoresetError):
        if is_new():
            return
        opened = shared()
        name = first_case(opened, wanted=os.environ.get(CASE_VARIABLE, ""))
        _opened((book_url(), name, opened.stamp(name), True), opened)


def is_new() -> bool:
    """Whether no case is open, asked for or in the database, so that the start is offered in its place."""
    asked = os.environ.get(CASE_VARIABLE) or OPEN in st.session_state or st.query_params.get("case")
    return not asked and not shared().cases()


def open_demo() -> None:
    """Read the demo into the database and open it."""
    open_case(first_case(shared()))


def case_id() -> str:
    """Name of the open case: this session's, else the address's, else the server's, else the first of the book."""
    if OPEN not in st.session_state:
        wanted = st.query_params.get("case") or os.environ.get(CASE_VARIABLE, "")
        person = guest()
        names = [row.case_id for row in book().cases()] if person and person.plants else []
        st.session_state[OPEN] = names[0] if names and wanted not in names else first_case(shared(), wanted=wanted)
    return st.session_state[OPEN]


def open_case(name: str) -> None:
    """Open another case of the book in this session."""
    st.session_state[OPEN] = name
    st.query_params["case"] = name


def read() -> str:
    """Take the open case as it is now, once for each run of a page; its name."""
    name, opened = case_id(), book()
    st.session_state.pop(NOW, None)
    st.session_state[BASE] = opened.revision(name)
    st.session_state[NOW] = _opened((book_url(), name, opened.stamp(name), sees_prices()), opened)
    return name


@st.cache_resource(show_spinner=False, max_entries=4)
def _opened(key: tuple[str, str, str, bool], _book: Book | AllowedRequests) -> Case:
    """The case that a book holds under a name, with its prices or not, read again only once its mark is another."""
    return _book.open(key[1])


def case() -> Case:
    """The open case as it was read for this run."""
    return st.session_state[NOW]


def cases_of_plant() -> dict[str, Case]:
    """Other cases of the plant of the open case, by name; none where it names no plant."""
    here = [row for row in book().cases() if row.plant and row.plant == case().plant and row.case_id != case_id()]
    priced = sees_prices()
    return {
        row.case_id: _neighbor((book_url(), row.case_id, book().stamp(row.case_id), priced), book()) for row in here
    }


@st.cache_resource(show_spinner=False, max_entries=MOST_NEIGHBORS)
def _neighbor(key: tuple[str, str, str, bool], _book: Book | AllowedRequests) -> Case:
    """A case without its readings, with its prices or not, read again only once its mark is another."""
    found = _book.open(key[1])
    return replace(found, studies=tuple(replace(study, readings=Readings.of([])) for study in found.studies))


def as_kept(revision: int) -> Case:
    """The open case as it was kept at an earlier revision."""
    return book().open(case_id(), revision=revision)


def decimal() -> str:
    """Decimal sign of the open case by its name: point or comma."""
    return st.session_state[NOW].decimal if is_read() else "point"


def in_manner(text: str) -> str:
    """A text with its numbers and days as the open case wants them."""
    found = st.session_state.get(NOW)
    return text if found is None else numbers.in_manner(text, decimal=found.decimal, date_style=found.date_style)


def is_read() -> bool:
    """Whether the open case could be read."""
    return NOW in st.session_state


def revision() -> int:
    """Number of the state that the page shows."""
    return st.session_state[BASE]


def now() -> str:
    """The time, as the book writes it."""
    return received()
