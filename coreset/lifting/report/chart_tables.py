"""The figures behind the charts on lifting, as rows of text."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from coreset.case import UNIT_SETS
from coreset.lifting.report.status import index_text
from coreset.report.columns import column_name
from coreset.report.numbers import percent
from coreset.rounding import fixed
from coreset.text import say

PACES = 12
"""Paces at which a curve of the index is told."""


def pace(curves: Sequence[Any]) -> list[dict[str, str]]:
    """Index at paces along each curve, and at those of the study and of the standard."""
    rows = []
    for curve in curves:
        along = range(0, len(curve.molds_per_h), max(1, len(curve.molds_per_h) // PACES))
        points = [(float(curve.molds_per_h[i]), float(curve.index[i]), "") for i in along]
        points += [
            (curve.standard_per_h, curve.standard_index, say("handling.pace.standard")),
            (curve.observed_per_h, curve.observed_index, say("handling.pace.observed")),
        ]
        rows += [
            {
                column_name("group"): curve.method,
                column_name("pace"): fixed(at, 1),
                column_name("index"): index_text(index),
                column_name("which"): which,
            }
            for at, index, which in sorted(points, key=lambda point: point[0])
            if index is not None and index == index
        ]
    return rows


def mix(found: Any) -> list[dict[str, str]]:
    """Mean index of each category of the variable index that holds lifts, and its share of them."""
    if not found.variable:
        return []
    pairs = zip(found.variable.mean_fili, found.variable.share, strict=True)
    return [
        {column_name("fili"): index_text(float(fili)), column_name("share"): percent(float(share))}
        for fili, share in pairs
    ]


def ideal_effects(rows: Iterable[Mapping[str, Any]]) -> list[dict[str, str]]:
    """Index if a multiplier, or a pair, were 1."""
    return [{column_name("multiplier"): row["label"], column_name("index_then"): row["text"]} for row in rows]


def side(values: Mapping[str, float], units: str) -> list[dict[str, str]]:
    """Where the hands are at both ends of a lift."""
    unit = UNIT_SETS[units]["length"]
    return [
        {
            column_name("end"): say(f"handling.end.{end}"),
            column_name("reach", unit=unit): fixed(values[f"horizontal_{end}"], 1),
            column_name("height", unit=unit): fixed(values[f"vertical_{end}"], 1),
        }
        for end in ("origin", "destination")
    ]


def places(found: Mapping[str, tuple[float, float]], units: str) -> list[dict[str, str]]:
    """Where the hands usually are at each kind of place, by its name."""
    unit = UNIT_SETS[units]["length"]
    return [
        {
            say("handling.one.places"): name,
            column_name("reach", unit=unit): fixed(reach),
            column_name("height", unit=unit): fixed(height),
        }
        for name, (reach, height) in found.items()
    ]
