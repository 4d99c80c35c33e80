"""Where the book lies if nobody says otherwise."""

from __future__ import annotations

import os
from pathlib import Path

VARIABLE = "CORESET_BOOK"
"""Environment variable with the URL of a book, for example postgresql+psycopg://host/coreset."""


def book_url() -> str:
    """URL of the book: the variable's, else one SQLite file in the user's own data folder."""
    named = os.environ.get(VARIABLE, "")
    if named:
        return named
    home = Path(os.environ.get("XDG_DATA_HOME") or Path.home() / ".local" / "share")
    return f"sqlite:///{home / 'coreset' / 'book.sqlite'}"
