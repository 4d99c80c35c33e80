"""What the decision promised when it was approved: rows of promised.csv, written by the program, never by hand."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from coreset.case.fields import Code, Count, says

FIGURES = ("saving", "npv", "payback", "hours", "molds")
"""Figures of the whole purchase that are promised."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Promise:
    """One number of the decision as it was approved: a row of promised.csv."""

    kind: Literal["figure", "item", "input"] = says("figure of the whole, item of the cash flow, or input")
    item: Code = says("figure, item or input by its key")
    pattern: str = says("pattern of an input; empty for one of the plant", default="")
    year: Count | None = says(
        "year of an item or an input; empty for one of all years", counted_in="year", default=None
    )
    amount: float | None = says(
        "value, of a figure its mean; empty is never, of a payback", counted_in="{currency}", default=None
    )
    low: float | None = says("low end of the range that holds 80 % of the runs", default=None)
    middle: float | None = says("middle of the runs", default=None)
    high: float | None = says("high end of that range; empty is never, of a payback", default=None)
    who: str = says("code of the person who approved it, in the rows of figures", default="")
    day: str = says("day on which it was approved, as 2026-03-31", default="")
