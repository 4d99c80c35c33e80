"""What is refused as a BookError: by the database (which book, what happened, what to do), and odd corrections."""

from __future__ import annotations

import math
import sqlite3
from collections.abc import Collection, Iterator
from contextlib import contextmanager

from sqlalchemy import make_url
from sqlalchemy.exc import DBAPIError

from coreset.case import Correction
from coreset.errors import BookError
from coreset.number_text import number

NOTHING_KEPT = "nothing of this change was kept and nothing kept before is lost"
ADVICE = (
    ("full", f"free space on its disk, then do it again: {NOTHING_KEPT}"),
    ("No space left", f"free space on its disk, then do it again: {NOTHING_KEPT}"),
    ("readonly", f"make the file and its folder writable for this user: {NOTHING_KEPT}"),
    ("read-only", f"make the database writable for this user: {NOTHING_KEPT}"),
    ("locked", f"another program holds it: close that or wait, then do it again: {NOTHING_KEPT}"),
    ("malformed", "the file is damaged: keep it as it is, and go on with a copy or with an exported folder"),
    ("disk I/O", "its disk fails or was taken away: copy the file to another one before anything else"),
    ("not a database", "name another file"),
    ("unable to open", "its folder must be there and open to this user"),
    ("duplicate key", f"somebody else stored it at the same moment: look at it as it is now: {NOTHING_KEPT}"),
    ("connection", "start the database server or mend its address, then do it again"),
)
"""Words of the databases' own messages, and what helps; the first that fits holds."""


@contextmanager
def refused(url: str) -> Iterator[None]:
    """Turn what the database refuses into a BookError that says which book, why, and what to do."""
    try:
        yield
    except (DBAPIError, sqlite3.Error) as error:
        found = " ".join(str(error.orig if isinstance(error, DBAPIError) else error).split())
        help_ = next((words for mark, words in ADVICE if mark.lower() in found.lower()), "")
        shown = make_url(url).render_as_string(hide_password=True)
        message = f"book must be readable and writable, got {found} for {shown}"
        raise BookError(f"{message}: {help_}" if help_ else message) from error


def refuse_value(correction: Correction, elements: Collection[str]) -> None:
    """Nothing, if a reading can be labelled or rated as the correction says.

    Raises
    ------
    BookError
        If the new label is no element of the study, or the new rating no number above 0.
    """
    if correction.action == "relabel" and correction.value not in elements:
        raise BookError(f"new label must be one of {', '.join(elements)}, got {correction.value!r}")
    if correction.action == "rerate" and not _rating(correction.value):
        raise BookError(f"new rating must be a number above 0, got {correction.value!r}")


def _rating(text: str) -> bool:
    try:
        return 0.0 < number(text) < math.inf
    except ValueError:
        return False
