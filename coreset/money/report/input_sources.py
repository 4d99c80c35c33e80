"""Range and source of each input of the cash flow: as the case has them, or the room of the program it comes from."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from coreset.case import Case, Range
from coreset.case.growth import as_ranges
from coreset.figures.layout import suffixes
from coreset.money.base_case import BaseCase
from coreset.money.figures import MODEL
from coreset.money.inputs import CONSTANTS, OF_METHODS, SETTER
from coreset.money.simulation_inputs import MASK, OF_PLANT, PER_PATTERN
from coreset.text import say

RATES = ("rate_today", "rate_proposed")
"""Molds per hour by the method today and by the proposed one."""
ORIGINS = {
    **dict.fromkeys(RATES, "line"),
    "follow": "sequence",
    "runs_counted": "sequence",
    "holds": "hold",
    "scrap_saved": "scrap",
    "core_losses_saved": "supply",
    "core_hours_saved": "supply",
    "exposure_removed": "lifting",
    "moved": "choice",
    "write_off_share": "depreciation",
    "write_off_share_later": "depreciation",
    "years": "years",
    **dict.fromkeys((each.key for each in OF_METHODS), "method"),
    **dict.fromkeys((each.key for each in CONSTANTS), "constant"),
}
"""Inputs that are no field of the case's prices, line, setter or patterns, and where they come from."""


def ranges(case: Case, base: BaseCase, rates: Iterable[Any] = (), methods: Sequence[str] = ()) -> dict[str, Range]:
    """Range of each uncertain input of the case, and of the line's molds per hour, by the name of its cell.

    Parameters
    ----------
    case : Case
        Prices and patterns.
    base : BaseCase
        Patterns of the sheets.
    rates : iterable of Rate
        Molds per scheduled hour with their 95 % intervals, which the value, the mean of the runs, stands beside. [1/h]
    methods : sequence of str
        Method today and the proposed one.
    """
    found = {key: value for key in OF_PLANT if (value := getattr(case.money, key)) is not None}
    found |= as_ranges(case.growth)
    ends = dict(zip(base.patterns, suffixes(base.patterns), strict=True))
    for pattern in case.patterns:
        if end := ends.get(pattern.pattern):
            found |= {f"{key}_{end}": getattr(pattern, key) for key in PER_PATTERN}
            found[f"{MASK}_{end}"] = pattern.mask_cost or case.money.mask_cost
    named = dict(zip(methods, RATES, strict=False))
    for rate in rates:
        if rate.method in named and rate.pattern in ends:
            figure = Range(low=rate.low, likely=rate.molds_per_h, high=rate.high, source=say("workbook.source.line"))
            found[f"{named[rate.method]}_{ends[rate.pattern]}"] = figure
    return found


def source(key: str, figure: Range | None, case: Any, base: BaseCase) -> str:
    """Who vouches for one input, in words.

    Parameters
    ----------
    key : str
        Key of the input.
    figure : Range or None
        Its range, where it has one.
    case : Case
        For the source of the setter's data.
    base : BaseCase
        The inputs that were given; what was not has its default.
    """
    if figure is not None and figure.source:
        return figure.source
    if key in ORIGINS:
        return say(f"workbook.source.{ORIGINS[key]}")
    if key in MODEL.inputs and key not in base.inputs:
        return say("workbook.source.default")
    stated = case.setter.source if key in SETTER else ""
    return stated or say("workbook.source.case")
