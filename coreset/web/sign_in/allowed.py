"""The book as a person may use it: each act asks for its role first and bears the person's own code."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from coreset.store.book import Book
from coreset.web.sign_in.people import ACTS, Person, need

BY_CODE = {"keep", "undo", "sign", "new_version", "settle"}
"""Acts that are kept under a code, given as `who`."""


class AllowedRequests:
    """A book behind the door.

    Parameters
    ----------
    book : Book
    person : callable
        Who is there now, None for nobody; asked anew at each act.
    """

    def __init__(self, book: Book, person: Callable[[], Person | None]) -> None:
        self._book = book
        self._person = person

    def __getattr__(self, act: str) -> Callable[..., Any]:
        """The act of that name; an act that nobody may do is not there."""
        if act not in ACTS:
            raise AttributeError(act)

        def done(*given: Any, **named: Any) -> Any:
            person = need(self._person(), ACTS[act])
            if act in BY_CODE:
                named["who"] = person.code
            if act == "correct":
                *given, correction = given
                given = [*given, replace(correction, who=person.code)]
            return getattr(self._book, act)(*given, **named)

        return done
