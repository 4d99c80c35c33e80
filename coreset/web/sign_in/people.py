"""Who may do what: three roles, what each act on the book needs, and the file that gives people their roles."""

from __future__ import annotations

import csv
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
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
    "signed": OBSERVE,
    "presses": OBSERVE,
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
COLUMNS = ("email", "subject", "code", "role")
SINCE = "since"
"""Column that may follow: sign-ins of that person before this time count no longer, on any device."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Person:
    """Somebody who may come in: their code, their role, and when they must have signed in at the earliest [s, 1970]."""

    code: str
    role: str
    since: float = 0.0

    def may(self, needed: str) -> bool:
        """Whether the role reaches as far as that."""
        return ROLES.index(self.role) >= ROLES.index(needed)


@dataclass(frozen=True, slots=True, kw_only=True)
class RoleEntry:
    """One row of the file of roles: an address or a subject as the provider of identities gives it."""

    email: str
    subject: str
    person: Person


def need(person: Person | None, needed: str) -> Person:
    """That person, if they may do what needs the role.

    Raises
    ------
    BookError
        If nobody is signed in, or the role does not reach as far.
    """
    if person is None:
        raise BookError(say("door.refused.sign_in"))
    if not person.may(needed):
        raise BookError(say("door.refused.role", code=person.code, role=person.role, needed=needed))
    return person


def entries(path: Path) -> tuple[RoleEntry, ...]:
    """Every row of a file of roles.

    Raises
    ------
    StudyError
        With every fault: a row without a code or a role, with both or none of address and subject, one that is there
        twice, a name in the place of a code, or nobody at all.
    """
    try:
        with path.open(encoding="utf-8-sig", newline="") as file:
            reader = csv.DictReader(file, restkey="more")
            heads = tuple(reader.fieldnames or ())
            rows = [{key: _cell(value) for key, value in row.items()} for row in reader]
    except (OSError, UnicodeDecodeError, csv.Error) as error:
        raise StudyError([Fault(file=path.name, found=str(error), expected="a CSV file in UTF-8")]) from error
    if heads not in (COLUMNS, (*COLUMNS, SINCE)):
        raise StudyError([Fault(file=path.name, row=1, found=",".join(heads), expected=",".join(COLUMNS))])
    faults = [*_faults(path.name, rows)]
    if faults:
        raise StudyError(faults)
    return tuple(
        RoleEntry(
            email=r["email"].casefold(),
            subject=r["subject"],
            person=Person(code=r["code"], role=r["role"], since=_moment(r.get(SINCE, "")) or 0.0),
        )
        for r in rows
    )


def _moment(text: str) -> float | None:
    """A time with its zone [s since 1970]; None if it is none. Nothing is 0."""
    try:
        found = datetime.fromisoformat(text) if text else datetime.fromtimestamp(0, UTC)
    except ValueError:
        return None
    return found.timestamp() if found.tzinfo else None


def _cell(value: Any) -> str:
    return value.strip() if isinstance(value, str) else ""


def _faults(file: str, rows: list[dict[str, str]]) -> Iterator[Fault]:
    if not rows:
        yield Fault(file=file, found="nobody", expected="one row a person")
    seen: set[str] = set()
    for number, row in enumerate(rows, start=2):
        known = row["email"].casefold() or row["subject"]
        if bool(row["email"]) == bool(row["subject"]) or "more" in row:
            yield Fault(file=file, row=number, found="both, none or more", expected="either an email or a subject")
        elif known in seen:
            yield Fault(file=file, row=number, found="the same person once more", expected="one row a person")
        seen.add(known)
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
    verified = claims.get("email_verified") in (True, "true")
    for entry in found:
        if entry.subject and entry.subject == subject:
            return entry.person
        if entry.email and verified and isinstance(email, str) and entry.email == email.casefold():
            return entry.person
    return None
