"""What the reader must be told, in words: one sentence a matter, however many studies it concerns."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from coreset.line.report.sentences import note as line_note
from coreset.money.report.sentences import note as money_note
from coreset.rounding import fixed
from coreset.text import say

PLACES = ("study", "pattern", "method")
"""Blanks that say where; matters of one code are told together."""


def warnings(warned: Iterable[Any]) -> list[str]:
    """Sentences of an assessment's warnings, in order, each matter once.

    Parameters
    ----------
    warned : iterable of Warned
        Room, code and blanks.
    """
    found: dict[tuple[str, str], list[Any]] = {}
    for item in warned:
        matter = (item.room, item.code) if item.room == "study" else (item.room, f"{item.code} {item.blanks}")
        found.setdefault(matter, []).append(item)
    return [_sentence(items) for items in found.values()]


def _sentence(items: list[Any]) -> str:
    first = items[0]
    if first.room == "money":
        return money_note(first)
    if first.room == "line":
        return line_note(first)
    if first.room == "handling":
        return say(f"handling.limit.{first.code}")
    where = [" ".join(str(item.blanks[p]) for p in PLACES if p in item.blanks) + _figure(item.blanks) for item in items]
    return say(f"warnings.study.{first.code}", where=", ".join(where), count=len(items))


def _figure(blanks: dict[str, Any]) -> str:
    """The figure of one study, after its code."""
    if "percent" in blanks:
        return say("warnings.percent", percent=fixed(blanks["percent"], 1))
    if "element" in blanks:
        return say("warnings.element", element=blanks["element"])
    return say("warnings.count", count=blanks["count"]) if "count" in blanks else ""
