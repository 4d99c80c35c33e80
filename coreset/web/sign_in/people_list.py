"""The list of people in the database, as an administrator edits it on a page."""

from __future__ import annotations

import csv
import io
import os
from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import streamlit as st

from coreset.errors import BookError
from coreset.text import say
from coreset.web.opened import book
from coreset.web.person import guest, known
from coreset.web.sign_in import ROLES_VARIABLE, visit
from coreset.web.sign_in.people import ADMIN, COLUMNS, MORE, SINCE, Person, entries, entries_of, listed

HEADS = ("email", "subject", "group", "code", "role", "plant", "prices", "since")
"""Columns in the order of the page."""
Rows = list[dict[str, str]]


def is_admin(person: Person | None = None) -> bool:
    """Whether the person at the screen, or that one, may change the list: an administrator of every plant."""
    found = person or guest()
    return found is not None and found.may(ADMIN, "")


def saved() -> tuple[int, Rows]:
    """Revision of the list and its rows; an empty row where there is none yet."""
    revision, text = book().people()
    rows = [{name: row.get(name) or "" for name in HEADS} for row in csv.DictReader(io.StringIO(text))]
    return revision, rows or [dict.fromkeys(HEADS, "")]


def save(rows: Sequence[dict[str, Any]], *, base: int) -> None:
    """Save the list in the place of the revision that was shown.

    Raises
    ------
    StudyError
        With every fault, by row.
    BookError
        If somebody else saved it since, or the person who saves would be no administrator any more.
    """
    text = text_of(rows)
    found = (*entries(Path(os.environ[ROLES_VARIABLE]), strict=False), *entries_of(text, visit.NAME))
    mine = listed(found, st.user.to_dict())
    if mine is None or not is_admin(mine):
        raise BookError(say("door.refused.admin", code=known()))
    book().save_people(text, base=base)


def text_of(rows: Sequence[dict[str, Any]]) -> str:
    """The list as CSV text; rows with nothing in them are left out.

    Examples
    --------
    >>> text_of([{"group": "Plant B", "role": "edit"}, {"email": None}])
    'email,subject,code,role,since,plant,group,prices\\n,,,edit,,,Plant B,\\n'
    """
    to = io.StringIO()
    writer = csv.DictWriter(to, (*COLUMNS, *MORE), restval="", extrasaction="ignore", lineterminator="\n")
    writer.writeheader()
    filled = ({name: str(value).strip() for name, value in row.items() if value} for row in rows)
    writer.writerows(row for row in filled if row)
    return to.getvalue()


def ended(rows: Sequence[dict[str, Any]], code: str) -> list[dict[str, Any]]:
    """The same rows, with every sign-in of one person from before now ended."""
    now = datetime.now(UTC).isoformat(timespec="seconds")
    return [{**row, SINCE: now} if row["code"] == code else dict(row) for row in rows]


def codes(rows: Rows) -> list[str]:
    """Codes of the people in the list, in order."""
    return sorted({row["code"] for row in rows if row["code"]})
