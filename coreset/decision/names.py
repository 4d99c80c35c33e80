"""What patterns, options and years are called in the sentences of the verdict. In: names. Out: words."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from coreset.money.report.names import plain_years
from coreset.report.numbers import listed
from coreset.text import catalogue, say

NAMED = 3
"""Patterns, studies or lifts that a sentence names before it counts the rest."""


def short(names: Iterable[str], most: int = NAMED) -> str:
    """Names joined, those beyond the first ones counted; an empty name is the shift in which one person rotates.

    Examples
    --------
    >>> short(["A", "B", "C"]), short("ABCDE"), short("ABCDE", 0), short("A", 0)
    ('A, B and C', 'A, B, C and 2 more', '5 patterns', 'A')
    """
    names = [name or say("decision.rotation") for name in names]
    if not most and len(names) > 1:
        return say("decision.patterns", count=len(names))
    rest = [say("decision.more", count=len(names) - most)] if len(names) > max(most, 1) else []
    return listed([*names[: max(most, 1)], *rest]) or say("decision.none")


def option_name(option: Any, candidate: str) -> str:
    """What an option is called in a sentence."""
    if option is None:
        return say("decision.today")
    if option.name == candidate:
        return say("decision.option.bought")
    key = f"decision.option.{option.name}"
    return say(key) if key in catalogue() else say("decision.option.method", name=option.name)


def years(limit: float) -> str:
    """The longest payback that the plant accepts, as `1 year` or `4.5 years`."""
    return say("decision.year") if limit == 1 else say("decision.years", years=plain_years(limit))
