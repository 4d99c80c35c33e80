"""Who is there: the signed cookie of a sign-in, or the session's own user, looked up in the file of roles."""

from __future__ import annotations

import json
import os
import time
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import streamlit as st

from coreset.errors import CoresetError
from coreset.web.framework import signed_user_cookie
from coreset.web.sign_in import ROLES_VARIABLE
from coreset.web.sign_in.people import Person, entries, listed

SIGN_IN_S = 43_200.0
"""How long a sign-in holds: 12 hours, longer than a shift. [s]"""
DAY_S = 86_400.0


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
    return judged(st.user.to_dict(), Path(os.environ[ROLES_VARIABLE]))


def judged(claims: Mapping[str, Any], roles: Path) -> Visit:
    """The person whom the claims name now; the file is read each time, so that a row taken out shuts the door, and a
    row with a fault shuts out nobody else."""
    if claims.get("is_logged_in") is not True:
        return Visit(person=None, reason="out")
    subject, begun = str(claims.get("sub", "")), claims.get("iat")
    if not isinstance(begun, int | float) or not abs(time.time() - begun) <= SIGN_IN_S:
        return Visit(person=None, reason="late", subject=subject)
    try:
        person = listed(entries(roles, strict=False), claims)
    except CoresetError:
        return Visit(person=None, reason="closed", subject=subject)
    if person and begun < person.since:
        return Visit(person=None, reason="late", subject=subject)
    return Visit(person=person, reason="" if person else "unknown", subject=subject)


def claims_of(cookies: Mapping[str, str], origin: str) -> dict[str, Any]:
    """What the cookie of a sign-in says, if this server signed it, lately, for that address; nothing otherwise."""
    whole = signed_user_cookie(cookies, valid_days=SIGN_IN_S / DAY_S)
    try:
        found = json.loads(whole or b"{}")
    except ValueError:
        return {}
    return found if isinstance(found, dict) and found.get("origin") == origin else {}
