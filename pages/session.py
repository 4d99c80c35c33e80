# longer because it is the session behind the pages, not one of them
"""The case that is open, what follows from it, and keeping a change with its undo: all that pages know of the book."""

from __future__ import annotations

import gc
import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from itertools import chain, count
from time import sleep
from typing import Any

import streamlit as st

from coreset.book import Book, book_url
from coreset.book.rows import received
from coreset.brief import numbers, say
from coreset.brief.say_case import empty_case
from coreset.case import Case
from coreset.case.digest import digest
from coreset.errors import BookError, CoresetError
from coreset.pages.door import visit
from coreset.pages.door.allowed import Allowed
from coreset.pages.person import guest, who
from coreset.pages.shelf import first_case

CASE_VARIABLE = "CORESET_CASE"
"""Environment variable with the name of the case that is opened first."""
KEPT, BASE, OPEN, NOW = "kept", "base_revision", "case_id", "case_now"
REFUSED = "refused"
MOST_RECKONED = 4
"""Assessments kept in memory."""
DRAWN_S = 0.25
"""How long the browser has to draw what was sent, before the processors are taken by a reckoning of seconds. [s]"""
MOST_MADE = 256
"""Charts and results for a choice that are kept in memory."""


@st.cache_resource(show_spinner=False, max_entries=4)
def _book(url: str) -> Book:
    return Book(url)


def book() -> Book | Allowed:
    """The book that the server works on; where pages are shared, as far as the role of the person there reaches."""
    opened = _book(book_url())
    return Allowed(opened, guest) if visit.shared() else opened


def may(needed: str) -> bool:
    """Whether the person at the screen may do what needs that role; everybody may where nobody has to sign in."""
    person = guest()
    return person.may(needed) if person else not visit.shared()


def ready() -> None:
    """Open the book and the case that a server opens first before anybody asks; what cannot be is told on the page."""
    with suppress(CoresetError):
        opened = _book(book_url())
        name = first_case(opened, wanted=os.environ.get(CASE_VARIABLE, ""))
        _opened((book_url(), name, opened.stamp(name)), opened)


def case_id() -> str:
    """Name of the open case: this session's, else the address's, else the server's, else the first of the book."""
    if OPEN not in st.session_state:
        wanted = st.query_params.get("case") or os.environ.get(CASE_VARIABLE, "")
        st.session_state[OPEN] = first_case(_book(book_url()), wanted=wanted)
    return st.session_state[OPEN]


def open_case(name: str) -> None:
    """Open another case of the book in this session."""
    st.session_state[OPEN] = name
    st.query_params["case"] = name


def begin(name: str, new: Case) -> None:
    """Keep a new case under a name and open it; one that the book has is opened as it is."""
    with told():
        if not book().revision(name):
            book().keep(name, new, who=who(), why=say("front.case.begun"))
        open_case(name)


def begin_own(stem: str, new: Case) -> None:
    """Open the case of that name that the person began before, or begin one beside those of others."""
    with told():
        by, opened = who(), book()
        names = [row.case_id for row in opened.cases() if row.case_id.startswith(stem)]
        mine = next((name for name in names if opened.trail(name)[-1].who == by), "")
        free = (name for name in chain([stem], (f"{stem}-{n}" for n in count(2))) if name not in names)
        begin(mine or next(free), new)


@contextmanager
def told() -> Iterator[None]:
    """What the book refuses is kept to be told when the page is drawn next."""
    try:
        yield
    except BookError as error:
        st.session_state[REFUSED] = str(error)


def last_refused() -> str:
    """What the book refused since the page was last drawn, told once."""
    return st.session_state.pop(REFUSED, "")


def start(name: str) -> None:
    """Begin an empty case."""
    begin(name, empty_case(name))


def read() -> str:
    """Take the open case as it is now, once for each run of a page; its name."""
    name, opened = case_id(), book()
    st.session_state.pop(NOW, None)
    st.session_state[BASE] = opened.revision(name)
    st.session_state[NOW] = _opened((book_url(), name, opened.stamp(name)), opened)
    return name


@st.cache_resource(show_spinner=False, max_entries=4)
def _opened(key: tuple[str, str, str], _book: Book | Allowed) -> Case:
    """The case that a book holds under a name, read again only once its mark is another."""
    return _book.open(key[1])


def case() -> Case:
    """The open case as it was read for this run."""
    return st.session_state[NOW]


@st.cache_resource(show_spinner=False, max_entries=8, hash_funcs={Case: id})
def _named(found: Case) -> tuple[str, Case]:
    """Name of a case's content, and the case: while it is held, no other one has its place in memory."""
    return digest(found), found


def content(found: Case) -> str:
    """Name of a case's content; reckoned once for the same value."""
    return _named(found)[0]


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


def assessment() -> Any:
    """What follows from the open case; reckoned once for the same content."""
    return assessment_of(case())


def assessment_of(found: Case) -> Any:
    """What follows from any case; reckoned once for the same content.

    The place of the bar is there in every run: else what stands after it would move up in the next run, and a tab that
    was chosen would fall back to the first.
    """
    from coreset.assess import assess

    key, known, bar = content(found), _reckoned(), st.empty()
    if key not in known:
        bar.progress(0.0, say("front.wait"))
        sleep(DRAWN_S)
        known[key] = assess(found, progress=lambda stage, share: bar.progress(share, say(f"cli.stage.{stage}")))
        bar.empty()
        while len(known) > MOST_RECKONED:
            known.pop(next(iter(known)))
        _settle()
    return known[key]


def _settle() -> None:
    """Keep what is there out of the search for garbage that the framework makes after each run of a page."""
    gc.unfreeze()
    gc.collect()
    gc.freeze()


@st.cache_resource(show_spinner=False)
def _reckoned() -> dict[str, Any]:
    """What was reckoned last, by content; shared by the sessions of a server."""
    return {}


def once(make: Callable[[], Any], *of: object) -> Any:
    """What is made of the open case and what was chosen, made once for the same content; nobody may change it.

    Parameters
    ----------
    make : callable
        Makes it.
    *of
        Its name, then all that was chosen for it.
    """
    return _once(content(case()), repr(of), make)


@st.cache_resource(show_spinner=False, max_entries=MOST_MADE)
def _once(content: str, of: str, _make: Callable[[], Any]) -> Any:
    return _make()


def compared() -> dict[str, Any]:
    """Both methods against each other by pattern, of the open case; reckoned once for the same content."""
    from coreset.study.pairs import pairs

    found, known = case(), assessment()
    return once(lambda: {pair.pattern: pair for pair in pairs(found, known.standards, known.pooled)}, "pairs")


def as_kept(revision: int) -> Case:
    """The open case as it was kept at an earlier revision."""
    return book().open(case_id(), revision=revision)


def now() -> str:
    """The time, as the book writes it."""
    return received()


def keep(changed: Case, why: str) -> int:
    """Keep a changed case under the person's code; refused without one, or if somebody else kept it since it was shown.

    Call it in a callback, or follow it by `st.rerun()`.
    """
    base = st.session_state.get(BASE)
    revision = book().keep(case_id(), changed, who=who(), why=why, base=base)
    st.session_state[KEPT] = why
    return revision


def undo() -> None:
    """Go back by one kept change; readings and their corrections stay."""
    with told():
        book().undo(case_id(), who=who())
        st.session_state[KEPT] = say("front.undone")


def last_kept() -> str:
    """What was kept since the page was last drawn, told once."""
    return st.session_state.pop(KEPT, "")
