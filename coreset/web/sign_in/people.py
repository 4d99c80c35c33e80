"""Who may do what: three roles, what each act on the book needs, and the file that gives people their roles."""

from __future__ import annotations

import csv
import hashlib
import io
import logging
import os
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from functools import lru_cache
from pathlib import Path
from typing import Any

from coreset.case.codes import alphabet_rule, unseen_rule
from coreset.case.people import name_like
from coreset.errors import BookError, Fault, StudyError
from coreset.text import say

OBSERVE, EDIT, SIGN, ADMIN = ROLES = ("observe", "edit", "sign", "admin")
"""Look and time on the clock; also change facts, correct and bring in; also sign studies; also change the list of
people. Each may do what those before it may."""
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
    "only_here": OBSERVE,
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
    "people": ADMIN,
    "save_people": ADMIN,
}
"""What each act on the book needs; an act that is not listed is open to nobody."""
OF_ALL = {"cases", "mapping", "remember", "people", "save_people"}
"""Acts that concern no one case; the first argument of all others is the name of a case."""
COLUMNS = ("email", "subject", "code", "role")
SINCE, PLANT, GROUP, PRICES = MORE = ("since", "plant", "group", "prices")
"""Columns that may follow. since: sign-ins of that person before this time count no longer, on any device. plant: the
role holds for cases of that plant alone; a person has a row for each, and empty means every plant. group: in the place
of an address, a group of the provider of identities. prices: `no` hides the prices of those cases."""
CLAIM, CLAIM_VARIABLE = "groups", "CORESET_GROUPS_CLAIM"
"""Claim of a sign-in that lists the person's groups, and the environment variable that names another one."""
YES_NO = ("", "yes", "no")
LOG = logging.getLogger("coreset.people")


@dataclass(frozen=True, slots=True, kw_only=True)
class Person:
    """Somebody who may come in: their code, their role (the highest that they have anywhere), when they must have
    signed in at the earliest [s, 1970], their role by plant where it is not the same everywhere ("" is every plant),
    and plants whose prices they do not see."""

    code: str
    role: str
    since: float = 0.0
    plants: Mapping[str, str] = field(default_factory=dict)
    no_prices: frozenset[str] = frozenset()

    def sees_prices(self, plant: str) -> bool:
        """Whether the prices of cases of that plant may be shown: one row that holds there and does not hide them."""
        return bool({plant, ""} & (set(self.plants) or {""}) - self.no_prices)

    def may(self, needed: str, plant: str | None = None) -> bool:
        """Whether the role reaches as far as that: at a plant, or at any if none is named."""
        found = [self.role]
        if plant is not None and self.plants:
            found = [self.plants[name] for name in {plant, ""} & set(self.plants)]
        return any(ROLES.index(role) >= ROLES.index(needed) for role in found)


@dataclass(frozen=True, slots=True, kw_only=True)
class RoleEntry:
    """One row of a list of people: an address, a subject or a group as the provider of identities gives it."""

    email: str
    subject: str
    person: Person
    plant: str = ""
    group: str = ""
    prices: bool = True


def need(person: Person | None, needed: str, plant: str | None = None) -> Person:
    """That person, if they may do what needs the role, at that plant if one is named.

    Parameters
    ----------
    person : Person or None
        Who is signed in.
    needed : str
        The role.
    plant : str, optional
        The plant; empty for a case of none. Left out, the role is enough at any.

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
    """Rows of a file of people: all of them, or those of people without a fault in theirs, and the faults in the log.

    Raises
    ------
    StudyError
        With every fault: a row without a code or a role, with more or less than one of address, subject and group, one
        that is there twice, a name in the place of a code. In any case if the file cannot be read, or nobody is left.
    """
    try:
        text = path.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        raise StudyError([Fault(file=path.name, found=str(error), expected="a CSV file in UTF-8")]) from error
    found = entries_of(text, path.name, strict=strict)
    if not found:
        raise StudyError([Fault(file=path.name, found="nobody", expected="one row a person")])
    return found


@lru_cache(maxsize=16)
def entries_of(text: str, name: str, *, strict: bool = True) -> tuple[RoleEntry, ...]:
    """Rows of a list of people as CSV text, as `entries`; none of an empty list.

    Parameters
    ----------
    text : str
        The list as CSV.
    name : str
        What a fault calls it.
    strict : bool
        Whether one fault refuses the whole list; else every person with a faulty row is left out.

    Raises
    ------
    StudyError
        As `entries`; where it is not strict, only if the head of the list is wrong or every row has a fault.
    """
    try:
        reader = csv.DictReader(io.StringIO(text, newline=""), restkey="more")
        heads = tuple(reader.fieldnames or COLUMNS)
        rows = [{key: _cell(value) for key, value in row.items()} for row in reader]
    except csv.Error as error:
        raise StudyError([Fault(file=name, found=str(error), expected="a CSV file in UTF-8")]) from error
    if heads[: len(COLUMNS)] != COLUMNS or set(heads[len(COLUMNS) :]) - set(MORE) or len(set(heads)) < len(heads):
        raise StudyError([Fault(file=name, row=1, found=",".join(heads), expected=",".join(COLUMNS))])
    faults = [*_faults(name, rows)]
    broken = {_known(rows[fault.row - 2]) for fault in faults if fault.row}
    kept = [row for row in rows if _known(row) not in broken]  # another row of that person might give too much
    if faults and (strict or not kept):
        raise StudyError(faults)
    _tell(tuple(faults))
    return tuple(
        RoleEntry(
            email=r["email"].casefold(),
            subject=r["subject"],
            group=r.get(GROUP, ""),
            prices=r.get(PRICES, "") != "no",
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
    return row["email"].casefold() or row["subject"] or f"group {row.get(GROUP, '')}"


def _faults(file: str, rows: list[dict[str, str]]) -> Iterator[Fault]:
    seen: set[tuple[str, str]] = set()
    codes: dict[str, str] = {}
    for number, row in enumerate(rows, start=2):
        known, group = _known(row), row.get(GROUP, "")
        if [row["email"], row["subject"], group].count("") != 2 or "more" in row:
            expected = "either an email or a subject, or a group"
            yield Fault(file=file, row=number, found="both, none or more", expected=expected)
        elif (known, row.get(PLANT, "")) in seen or codes.get(known, row["code"]) != row["code"]:
            expected = "one row a person and plant, with one code"
            yield Fault(file=file, row=number, found="the same person once more", expected=expected)
        else:
            seen.add((known, row.get(PLANT, "")))
            codes[known] = row["code"]
        if group and row["code"]:
            expected = "none: each person of a group gets a code"
            yield Fault(file=file, row=number, column="code", found="a code of a group", expected=expected)
        elif not group and (not row["code"] or name_like(row["code"])):
            yield Fault(file=file, row=number, column="code", found="none, or a name", expected="a code, not a name")
        elif rule := unseen_rule(row["code"]) or alphabet_rule(row["code"]):
            yield Fault(file=file, row=number, column="code", found="a code that may look like another", expected=rule)
        if _moment(row.get(SINCE, "")) is None:
            expected = "a time with its zone, as 2026-11-29T08:00+01:00, or nothing"
            yield Fault(file=file, row=number, column=SINCE, found=repr(row[SINCE][:40]), expected=expected)
        if row.get(PRICES, "") not in YES_NO:
            found = repr(row[PRICES][:40])
            yield Fault(file=file, row=number, column=PRICES, found=found, expected="yes, no or nothing")
        if row["role"] not in ROLES:
            yield Fault(file=file, row=number, column="role", found=repr(row["role"]), expected=", ".join(ROLES))


def listed(found: tuple[RoleEntry, ...], claims: Mapping[str, Any]) -> Person | None:
    """The person whom the claims of a sign-in name; an address counts only where the provider says it is verified.

    Rows by subject come before those by address, and these before those of groups: the first one gives the code.
    """
    subject, email = claims.get("sub"), claims.get("email")
    verified = claims.get("email_verified") in (True, "true") and isinstance(email, str)
    address = email.casefold() if isinstance(email, str) and verified else ""
    own = [one for one in found if one.subject and one.subject == subject]
    own += [one for one in found if one.email and one.email == address]
    own = [one for one in own if one.person.code == own[0].person.code]
    groups = _groups(claims) if isinstance(subject, str) else set()
    rows = [*own, *(one for one in found if one.group and one.group in groups)]
    if not rows:
        return None
    return Person(
        code=own[0].person.code if own else code_of(str(subject)),
        role=max((one.person.role for one in rows), key=ROLES.index),
        since=max(one.person.since for one in rows),
        plants=_by_plant(rows),
        no_prices=frozenset(one.plant for one in rows) - {one.plant for one in rows if one.prices},
    )


def _by_plant(rows: list[RoleEntry]) -> dict[str, str]:
    """The highest role of each plant; none where every row holds everywhere."""
    plants = {one.plant for one in rows}
    roles = {plant: [one.person.role for one in rows if one.plant == plant] for plant in plants}
    return {plant: max(of, key=ROLES.index) for plant, of in roles.items()} if plants != {""} else {}


def _groups(claims: Mapping[str, Any]) -> set[str]:
    given = claims.get(os.environ.get(CLAIM_VARIABLE) or CLAIM)
    return {given} if isinstance(given, str) else {one for one in given or () if isinstance(one, str)}


def code_of(subject: str) -> str:
    """The code of somebody whom only a group names: always the same, and no name.

    Examples
    --------
    >>> code_of("248289761001")
    'U4ACE9133'
    """
    return f"U{hashlib.sha256(subject.encode()).hexdigest()[:8].upper()}"
