"""Measures that are all or nothing (hoist, team, platform, grip ...) in words, and which of them reach the goal."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from coreset.case import UNIT_SETS
from coreset.lifting.report.status import index_text
from coreset.report.numbers import listed
from coreset.rounding import fixed
from coreset.text import say


def reached_by(found: Any) -> list[str]:
    """Names of the measures that reach the goal, by themselves and after the best change."""
    said = []
    for key, after in (("reached_by", False), ("reached_after", True)):
        codes = dict.fromkeys(one.measure.code for one in found.reaching if one.after == after)
        names = listed([say(f"handling.one.measure.{code}") for code in codes])
        said += [say(f"handling.one.{key}", names=names)] if codes else []
    return said


def reached_with_index(found: Any, units: str) -> list[str]:
    """The measures that reach the goal, each with its own index."""
    said = []
    for after in (False, True):
        own = [measure_text(one.measure, units) for one in found.reaching if one.after == after]
        said += (
            [say(f"handling.change.{'after_best' if after else 'as_it_is'}", measures="; ".join(own))] if own else []
        )
    return said


def measure_text(measure: Any, units: str) -> str:
    """A measure that is all or nothing, with the index that it gives."""
    return say(
        f"handling.measures.{measure.code}",
        index=index_text(measure.index),
        hold=measure.detail,
        height=fixed(measure.height),
        unit=UNIT_SETS[units]["length"],
    )


def measure_rows(measures: Iterable[Any], units: str) -> list[dict[str, str]]:
    """Indivisible measures with the index that each gives."""
    return [
        {say("handling.column.what"): measure_text(m, units)}
        for m in measures
        if m.index is not None or m.code == "hoist"
    ]
