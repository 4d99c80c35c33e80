"""Rows of the pages of Help: keys by where they act, published methods by the question that each answers."""

from __future__ import annotations

from coreset.report.published_tables import citation
from coreset.text import catalogue, say

SECTIONS = ("clock", "video", "rating", "grid", "pages")
"""Where keys act, in the order of the page."""


def keys(section: str) -> list[dict[str, str]]:
    """Each key of one section and what it does.

    Examples
    --------
    >>> keys("rating")[-1]
    {'key': 'Enter', 'what it does': 'confirms the rating'}
    """
    return _rows(f"help.keyboard.{section}.", "help.keyboard.heads")


def methods() -> list[dict[str, str]]:
    """Question, method and publication in full.

    Examples
    --------
    >>> methods()[6]["question"]
    'May this be lifted?'
    """
    rows = _rows("help.methods.row.", "help.methods.heads")
    *_, publication = rows[0]
    return [row | {publication: citation(row[publication])} for row in rows]


def _rows(prefix: str, heads: str) -> list[dict[str, str]]:
    names = say(heads).split(" | ")
    lines = [text for key, text in catalogue().items() if key.startswith(prefix)]
    return [dict(zip(names, line.split(" | "), strict=True)) for line in lines]
