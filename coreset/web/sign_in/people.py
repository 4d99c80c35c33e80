"""Who may do what: three roles, what each act on the book needs, and the file that gives people their roles."""

from __future__ import annotations

import csv
import logging
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from functools import lru_cache
from pathlib import Path
from typing import Any

from coreset.case.codes import alphabet_rule, unseen_rule
from coreset.case.people import name_like
from coreset.errors import BookError, Fault, StudyError
from coreset.text import say

OBSERVE, EDIT, SIGN = ROLES = ("observe", "edit", "sign")
"""Look and time on the clock; also change facts, correct and bring in; also sign studies. Each may do what those before
it may."""
ACTS: Mapping[str, str] = {
    "cases": OBSERVE,
    "trail": OBSERVE,
    "study_trail": OBSERVE,
    "open": OBSERVE,
    "revision": OBSERVE,
    "stamp": OBSERVE,
    "studies": OBSERVE,
    "has_study": OBSERVE,
    "plant": OBSERVE,
    "signed": OBSERVE,
    "presses": OBSERVE,
    "starter": OBSERVE,
    "apart": OBSERVE,
    "mapping": OBSERVE,
    "take": OBSERVE,
    "take_late": OBSERVE,
    "keep": EDIT,
    "undo": EDIT,
    "correct": EDIT,
    "settle": EDIT,
    "remember": EDIT,
    "sign": SIGN,
    "new_version": SIGN,
}
"""What each act on the book needs; an act that is not listed is open to nobody."""
OF_ALL = {"cases", "mapping", "remember"}
"""Acts that concern no one case; the first argument of all others is the name of a case."""
COLUMNS = ("email", "subject", "code", "role")
SINCE, PLANT = MORE = ("since", "plant")
"""Columns that may follow. since: sign-ins of that person before this time count no longer, on any device. plant: the
role holds for cases of that plant alone; a person has a row for each, and empty means every plant."""
LOG = logging.getLogger("coreset.people")


@dataclass(frozen=True, slots=True, kw_only=True)
class Person:
    """Somebody who may come in: their code, their role (the highest that they have anywhere), when they must have
    signed in at the earliest [s, 1970], their role by plant where it is not the same everywhere ("" is every plant)."""

    code: str
    role: str
    since: float = 0.0
    plants: Mapping[str, str] = field(default_factory=dict)

    def may(self, needed: str, plant: str | None = None) -> bool:
        """Whether the role reaches as far as that: at a plant, or at any if none is named."""
        found = [self.role]
        if plant is not None and self.plants:
            found = [self.plants[name] for name in {plant, ""} & set(self.plants)]
        return any(ROLES.index(role) >= ROLES.index(needed) for role in found)


@dataclass(frozen=True, slots=True, kw_only=True)
class RoleEntry:
    """One row of the file of roles: an address or a subject as the provider of identities gives it."""

    email: str
    subject: str
    person: Person
    plant: str = ""


def need(person: Person | None, needed: str, plant: str | None = None) -> Person:
    """That person, if they may do what needs the role, at that plant if one is named.

    Raises
    ------
    BookError
        If nobody is signed in, or the role does not reach as far.
    """
    if person is None:
        raise BookError(say("door.refused.sign_in"))
    if person.may(needed) and not person.may(needed, plant):
        raise BookError(say("door.refused.plant", code=person.code, plant=plant or say("door.no_plant"), needed=needed))
    if not person.may(needed):
        raise BookError(say("door.refused.role", code=person.code, role=person.role, needed=needed))
    return person


def entries(path: Path, *, strict: bool = True) -> tuple[RoleEntry, ...]:
    """Rows of a file of roles: all of them, or those of people without a fault in theirs, and the faults in the log.

    Raises
    ------
    StudyError
        With every fault: a row without a code or a role, with both or none of address and subject, one that is there
        twice, a name in the place of a code. In any case if the file cannot be read, or nobody is left.
    """
    try:
        with path.open(encoding="utf-8-sig", newline="") as file:
            reader = csv.DictReader(file, restkey="more")
            heads = tuple(reader.fieldnames or ())
            rows = [{key: _cell(value) for key, value in row.items()} for row in reader]
    except (OSError, UnicodeDecodeError, csv.Error) as error:
        raise StudyError([Fault(file=path.name, found=str(error), expected="a CSV file in UTF-8")]) from error
    if heads[: len(COLUMNS)] != COLUMNS or set(heads[len(COLUMNS) :]) - set(MORE) or len(set(heads)) < len(heads):
        raise StudyError([Fault(file=path.name, row=1, found=",".join(heads), expected=",".join(COLUMNS))])
    faults = [*_faults(path.name, rows)]
    broken = {_known(rows[fault.row - 2]) for fault in faults if fault.row}
    kept = [row for row in rows if _known(row) not in broken]  # another row of that person might give too much
    if faults and (strict or not kept):
        raise StudyError(faults)
    _tell(tuple(faults))
    return tuple(
        RoleEntry(
            email=r["email"].casefold(),
            subject=r["subject"],
            person=Person(code=r["code"], role=r["role"], since=_moment(r.get(SINCE, "")) or 0.0),
            plant=r.get(PLANT, ""),
        )
        for r in kept
    )


@lru_cache(maxsize=8)
def _tell(faults: tuple[Fault, ...]) -> None:
    """Tell faults once, however often the file is read."""
    for fault in faults:
        LOG.warning("row left out: %s", fault)


def _moment(text: str) -> float | None:
    """A time with its zone [s since 1970]; None if it is none. Nothing is 0."""
    try:
        found = datetime.fromisoformat(text) if text else datetime.fromtimestamp(0, UTC)
    except ValueError:
        return None
    return found.timestamp() if found.tzinfo else None


def _cell(value: Any) -> str:
    return value.strip() if isinstance(value, str) else ""


def _known(row: Mapping[str, str]) -> str:
    return row["email"].casefold() or row["subject"]


def _faults(file: str, rows: list[dict[str, str]]) -> Iterator[Fault]:
    if not rows:
        yield Fault(file=file, found="nobody", expected="one row a person")
    seen: set[tuple[str, str]] = set()
    codes: dict[str, str] = {}
    for number, row in enumerate(rows, start=2):
        known = _known(row)
        if bool(row["email"]) == bool(row["subject"]) or "more" in row:
            yield Fault(file=file, row=number, found="both, none or more", expected="either an email or a subject")
        elif (known, row.get(PLANT, "")) in seen or codes.get(known, row["code"]) != row["code"]:
            expected = "one row a person and plant, with one code"
            yield Fault(file=file, row=number, found="the same person once more", expected=expected)
        else:
            seen.add((known, row.get(PLANT, "")))
            codes[known] = row["code"]
        if not row["code"] or name_like(row["code"]):
            yield Fault(file=file, row=number, column="code", found="none, or a name", expected="a code, not a name")
        elif rule := unseen_rule(row["code"]) or alphabet_rule(row["code"]):
            yield Fault(file=file, row=number, column="code", found="a code that may look like another", expected=rule)
        if _moment(row.get(SINCE, "")) is None:
            expected = "a time with its zone, as 2026-11-29T08:00+01:00, or nothing"
            yield Fault(file=file, row=number, column=SINCE, found=repr(row[SINCE][:40]), expected=expected)
        if row["role"] not in ROLES:
            yield Fault(file=file, row=number, column="role", found=repr(row["role"]), expected=", ".join(ROLES))


def listed(found: tuple[RoleEntry, ...], claims: Mapping[str, Any]) -> Person | None:
    """The person whom the claims of a sign-in name; an address counts only where the provider says it is verified."""
    subject, email = claims.get("sub"), claims.get("email")
    verified = claims.get("email_verified") in (True, "true") and isinstance(email, str)
    address = email.casefold() if isinstance(email, str) and verified else ""
    by_subject = [one for one in found if one.subject and one.subject == subject]
    matching = [*by_subject, *(one for one in found if one.email and one.email == address)]
    if not matching:
        return None
    rows = [one for one in matching if one.person.code == matching[0].person.code]
    person = max((one.person for one in rows), key=lambda person: ROLES.index(person.role))
    since = max(one.person.since for one in matching)
    plants = {one.plant: one.person.role for one in rows} if any(one.plant for one in rows) else {}
    return replace(person, since=since, plants=plants)
