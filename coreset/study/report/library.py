"""The library of elements in words: what each is, how often it comes, which studies have it."""

from __future__ import annotations

from collections.abc import Iterable

from coreset.case import Element
from coreset.report.numbers import listed
from coreset.rounding import fixed
from coreset.study.library import Entry
from coreset.text import say

COLUMNS = ("name", "breakpoint", "kind", "often", "studies")


def library_rows(entries: Iterable[Entry]) -> list[dict[str, str]]:
    """Elements as a table, one a row."""
    heads = [say(f"timing.library.column.{name}") for name in COLUMNS]
    return [
        dict(
            zip(
                heads,
                (
                    entry.element.name,
                    entry.element.breakpoint,
                    say(f"timing.library.{entry.element.kind}"),
                    often(entry.element),
                    listed(entry.studies),
                ),
                strict=True,
            )
        )
        for entry in entries
    ]


def often(element: Element) -> str:
    """Usual frequency of an element: once in every cycle, so many times for a mold, or once in so many molds."""
    times = element.per_mold
    if times is None:
        return say("timing.library.counted" if element.occasional else "timing.library.every_cycle")
    if times >= 1:
        return say("timing.library.times", count=fixed(times, 0 if times == int(times) else 1))
    molds = 1 / times
    return say("timing.library.every", molds=fixed(molds, 0 if abs(molds - round(molds)) < 1e-9 else 1))
