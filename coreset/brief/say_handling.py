"""Sentences on handling: what may be lifted, the index, why there is none, and what the screen is not."""

from __future__ import annotations

from collections.abc import Iterable

from coreset.brief.text import say
from coreset.case import UNIT_SETS
from coreset.rounding import fixed

MASS_DIGITS = 1


def why_not(codes: Iterable[str]) -> str:
    """Reasons in words, joined; empty where there is none.

    Examples
    --------
    >>> why_not(["one_handed", "seated"])
    'it is lifted with one hand; it is done seated or kneeling'
    """
    return "; ".join(say(f"handling.why_not.{code}") for code in codes)


def binding(name: str | None) -> str:
    """What binds, in words with its symbol.

    Examples
    --------
    >>> binding("hm"), binding(None)
    ('horizontal reach (HM)', 'nothing: every multiplier is 1')
    """
    return f"{say(f'handling.multiplier.{name}')} ({name.upper()})" if name else say("handling.multiplier.none")


def index_sentence(
    *, mass: float, units: str, rwl: float | None, li: float | None, bound: str, codes: tuple, digits: int = 2
) -> str:
    """The answer on one lift in a sentence: the index, or why there is none."""
    unit = UNIT_SETS[units]["mass"]
    if rwl is None:
        return say("handling.lift.not_covered", why=why_not(codes))
    if li is None:
        return say("handling.lift.nothing", why=why_not(codes))
    numbers = {"li": fixed(li, digits), "mass": fixed(mass, MASS_DIGITS), "rwl": fixed(rwl, MASS_DIGITS)}
    return say("handling.lift.answer", unit=unit, binding=binding(bound), **numbers)
