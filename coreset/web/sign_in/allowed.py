"""The book as a person may use it: each act asks for its role first and bears the person's own code."""

from __future__ import annotations

import logging
from collections.abc import Callable
from dataclasses import replace
from typing import Any

from coreset.errors import BookError
from coreset.store.book import Book
from coreset.web.sign_in.people import ACTS, OBSERVE, OF_ALL, Person, need

BY_CODE = {"keep", "undo", "sign", "new_version", "settle"}
"""Acts that are kept under a code, given as `who`."""
LOG = logging.getLogger("coreset.people")


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
            person = self._person()
            try:
                person = need(person, ACTS[act])
                if act not in OF_ALL:
                    self._need_plant(person, act, *given)
            except BookError:
                case = "" if act in OF_ALL else str(given[0])
                LOG.warning("refused", extra={"act": act, "case": case, "code": person.code if person else ""})
                raise
            if act in BY_CODE:
                named["who"] = person.code
            if act == "correct":
                *given, correction = given
                given = [*given, replace(correction, who=person.code)]
            found = getattr(self._book, act)(*given, **named)
            return tuple(row for row in found if person.may(OBSERVE, row.plant)) if act == "cases" else found

        return done

    def _need_plant(self, person: Person, act: str, case_id: str, *given: Any) -> None:
        """Refuse an act on a case of a plant where the person may not do it, or that would move it to such a plant."""
        need(person, ACTS[act], self._book.plant(case_id))
        if act == "keep":
            need(person, ACTS[act], given[0].plant)
