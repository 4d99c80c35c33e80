"""Who is there: the signed cookie of a sign-in, or the session's own user, looked up in the file of roles."""

from __future__ import annotations

import json
import os
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import streamlit as st

from coreset.errors import CoresetError, StudyError
from coreset.store.book import Book
from coreset.web.framework import signed_user_cookie
from coreset.web.sign_in import ROLES_VARIABLE
from coreset.web.sign_in.people import LOG, Person, RoleEntry, entries, entries_of, listed

SIGN_IN_S = 43_200.0
"""How long a sign-in holds: 12 hours, longer than a shift. [s]"""
DAY_S = 86_400.0
NAME = "list of people"
"""What faults of the list in the database name as their file."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Visit:
    """Somebody at the door: the person, or why there is none (out, late, unknown, closed)."""

    person: Person | None
    reason: str = ""
    subject: str = ""


def shared() -> bool:
    """Whether this server shares its pages, so that everybody has to sign in."""
    return ROLES_VARIABLE in os.environ


def visit() -> Visit:
    """Who is at the screen of this session."""
    from coreset.web.opened import shared as database

    return judged(st.user.to_dict(), Path(os.environ[ROLES_VARIABLE]), database)


def judged(claims: Mapping[str, Any], roles: Path, book: Callable[[], Book]) -> Visit:
    """The person whom the claims name now, by the file and the list of the database.

    Both are read each time, so that a row taken out shuts the door; a row with a fault shuts out nobody else. A sign-in
    from before that person's last sign-out counts no longer, on any device.

    Parameters
    ----------
    claims : mapping
        What the cookie says, as the framework has checked it: subject, when the sign-in began, addresses, groups.
    roles : Path
        File of people and their roles.
    book : callable
        Opens the database, with the list saved there and when each signed out.
    """
    if claims.get("is_logged_in") is not True:
        return Visit(person=None, reason="out")
    subject, begun = str(claims.get("sub", "")), claims.get("iat")
    if not isinstance(begun, int | float) or not abs(time.time() - begun) <= SIGN_IN_S:
        return Visit(person=None, reason="late", subject=subject)
    try:
        saved, left_s = book().access(subject)
        person = listed((*entries(roles, strict=False), *_saved(saved)), claims)
    except CoresetError:
        return Visit(person=None, reason="closed", subject=subject)
    if begun < left_s or (person and begun < person.since):
        return Visit(person=None, reason="late", subject=subject)
    return Visit(person=person, reason="" if person else "unknown", subject=subject)


def _saved(text: str) -> tuple[RoleEntry, ...]:
    """Rows of the list in the database; one that a newer coreset wrote in another form lets nobody in."""
    try:
        return entries_of(text, NAME, strict=False)
    except StudyError as error:
        LOG.error("list of people not read", extra={"reason": str(error)})
        return ()


def claims_of(cookies: Mapping[str, str], origin: str) -> dict[str, Any]:
    """What the cookie of a sign-in says, if this server signed it, lately, for that address; nothing otherwise."""
    whole = signed_user_cookie(cookies, valid_days=SIGN_IN_S / DAY_S)
    try:
        found = json.loads(whole or b"{}")
    except ValueError:
        return {}
    return found if isinstance(found, dict) and found.get("origin") == origin else {}
