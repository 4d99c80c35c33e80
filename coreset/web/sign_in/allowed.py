"""The book as a person may use it: each act asks for its role first and bears the person's own code."""

from __future__ import annotations

import logging
from collections.abc import Callable
from dataclasses import replace
from typing import Any

from coreset.case import Case
from coreset.case.prices import with_prices_of, without_prices
from coreset.errors import BookError
from coreset.store.book import Book
from coreset.text import say
from coreset.web.sign_in.people import ACTS, ADMIN, OBSERVE, OF_ALL, Person, need

BY_CODE = {"keep", "undo", "sign", "new_version", "settle", "save_people"}
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
            person = self._need(act, *given)
            if act in BY_CODE:
                named["who"] = person.code
            if act == "keep":
                given = self._with_prices(person, *given)
            if act == "correct":
                *rest, correction = given
                given = (*rest, replace(correction, who=person.code))
            return self._shown(person, act, getattr(self._book, act)(*given, **named), *given)

        return done

    def _need(self, act: str, *given: Any) -> Person:
        """The person, if they may do that; a refusal goes to the log."""
        person = self._person()
        try:
            person = need(person, ACTS[act])
            if ACTS[act] == ADMIN:
                need(person, ADMIN, "")  # of every plant
            elif act not in OF_ALL:
                self._need_plant(person, act, *given)
        except BookError:
            case = "" if act in OF_ALL else str(given[0])
            LOG.warning("refused", extra={"act": act, "case": case, "code": person.code if person else ""})
            raise
        return person

    def _shown(self, person: Person, act: str, found: Any, *given: Any) -> Any:
        """What an act gives, without prices that the person does not see, and reasons that may name one."""
        if act == "open":
            plants = {found.plant, self._book.plant(given[0]) or ""}  # of that revision, and of today
            return found if all(map(person.sees_prices, plants)) else without_prices(found)
        if act == "cases":
            found = tuple(row for row in found if person.may(OBSERVE, row.plant))
        if act == "trail":
            plant = self._book.plant(given[0]) or ""
            found = tuple(replace(row, plant=plant) for row in found)
        if act in ("cases", "trail"):
            hidden = say("door.no_reason")
            return tuple(row if person.sees_prices(row.plant) else replace(row, why=hidden) for row in found)
        return found

    def _with_prices(self, person: Person, case_id: str, case: Case) -> tuple[str, Case]:
        """A changed case with the prices that the person did not see; refused if it changes or loses one."""
        plant = self._book.plant(case_id)
        if plant is None or person.sees_prices(plant):
            return case_id, case
        whole = with_prices_of(case, self._book.open(case_id)) if case.plant == plant else None
        if whole is None:
            raise BookError(say("door.refused.prices", code=person.code))
        return case_id, whole

    def _need_plant(self, person: Person, act: str, case_id: str, *given: Any) -> None:
        """Refuse an act on a case of a plant where the person may not do it, or that would move it to such a plant."""
        need(person, ACTS[act], self._book.plant(case_id))
        if act == "keep":
            need(person, ACTS[act], given[0].plant)
