"""Patterns and their cores: what is molded, how much of it, and what must be set into the drag."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

from annotated_types import Ge, Gt, Le

from coreset.case.fields import Code, NotNegative, OfMold, Positive, Range, Share, says

Year = Annotated[int, Ge(0), Le(100)]
"""A year of the evaluation, 1 for the first; 0 for none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pattern:
    """One pattern: a row of patterns.csv. A column `x` that is a range may have `x_low` and `x_high` beside it."""

    pattern: Code = says("code of the pattern")
    title: str = says("what is cast, in a few words", default="")
    molds_per_year: Range = says("molds made per year today", counted_in="molds/year")
    runs_per_year: Annotated[float, Gt(0), Le(10_000)] = says(
        "times per year the pattern is set up on the line", counted_in="runs/year"
    )
    castings_per_mold: OfMold = says("castings in one mold", default=1)
    margin_per_casting: Range = says(
        "contribution margin of one casting more: price less material, melt and finishing",
        counted_in="{currency}/casting",
        default=Range.exactly(0.0),
    )
    extra_molds_per_year: Range = says(
        "molds per year that could be sold beyond today's volume", counted_in="molds/year", default=Range.exactly(0.0)
    )
    starts_in_year: Year = says(
        "year in which its program starts; 0 is before the evaluation", counted_in="year", default=0
    )
    ends_after_year: Year = says("last year of its program; 0 is beyond the evaluation", counted_in="year", default=0)
    molds_by_year: tuple[float, ...] = says(
        "molds of each year of the evaluation, from the first on; the last holds for the years after; empty takes "
        "today's volume with its growth",
        default=(),
    )
    volume_growth: Annotated[float, Ge(-0.5), Le(1)] = says(
        "growth of its volume per year, from the first on", counted_in="share", default=0.0
    )
    goes_over_in_year: Year = says(
        "year in which it goes over to the method that is weighed; 0 is at the start of its program",
        counted_in="year",
        default=0,
    )
    cost_per_scrapped_casting: NotNegative = says(
        "what one scrapped casting costs: remelt, core, molding, lost margin",
        counted_in="{currency}/casting",
        default=0.0,
    )
    section: NotNegative = says("governing section of the casting", unit="size", default=0.0)
    cooling_min: NotNegative = says(
        "time in the mold from pouring to shake-out, as the plant requires; 0 takes it from the section", default=0.0
    )
    pouring_s: NotNegative = says("time to pour one mold; 0 takes the line's own", default=0.0)
    inner_row_only: bool = says(
        "whether its molds go straight to shake-out, past an outer row and upper levels", default=False
    )
    poured_mass: NotNegative = says("metal poured into one mold", unit="mass", default=0.0)
    mask_cost: Range | None = says(
        "cost of a core mask for it; empty takes the setter's own", counted_in="{currency}", default=None
    )
    hold_chance: Share = says(
        "chance that the setter holds its cores, as the plant judges before a trial; 1 leaves it out",
        counted_in="share",
        default=1.0,
    )
    note: str = says("anything worth knowing", default="")


@dataclass(frozen=True, slots=True, kw_only=True)
class Core:
    """One core of a pattern: a row of cores.csv."""

    pattern: Code = says("code of the pattern")
    core: Code = says("code of the core")
    kind: Literal["core", "insert"] = says(
        "core, or a filter, chill or other insert set with the cores", default="core"
    )
    per_mold: OfMold = says("cores of this kind in one mold", default=1)
    cost: NotNegative = says("what one of them costs ready to set", counted_in="{currency}/core", default=0.0)
    in_mask: bool = says("whether the mask takes it; else it is placed by hand under every method", default=True)
    mass: Positive = says("mass of one core as handled", unit="mass")
    length: NotNegative = says("longest side", unit="size", default=0.0)
    width: NotNegative = says("second side", unit="size", default=0.0)
    height: NotNegative = says("height as it lies in the mask", unit="size", default=0.0)
    at_x: float | None = says(
        "place of its middle in the mold's layout along the mask's length, from the middle of the mold",
        unit="size",
        default=None,
    )
    at_y: float | None = says("the same along the mask's width", unit="size", default=None)
    turned: bool = says("whether its longest side lies along the mask's width", default=False)
    grip: Literal["unknown", "friction", "form"] = says(
        "what carries it as the mask turns: friction on the pads, or nests and pins of the mask", default="unknown"
    )
    print_depth: NotNegative = says("depth of its prints in the drag", unit="size", default=0.0)
    print_area: NotNegative = says("face of the core prints that vacuum can hold", unit="area", default=0.0)
    cups: OfMold = says("vacuum cups that hold one core, the face above shared among them", default=1)
    cup_lip: NotNegative = says("width of a cup's lip on the core; 0 is not known", unit="size", default=0.0)
    leak_path: NotNegative = says("thickness of the core under a cup", unit="size", default=0.0)
    permeability_afs: NotNegative = says("AFS permeability number as measured on the core; 0 is not known", default=0.0)
    print_taper_deg: NotNegative = says("taper of the drag prints", default=0.0)
    print_clearance: NotNegative = says("clearance of the prints, one side", unit="size", default=0.0)
    note: str = says("anything worth knowing", default="")


@dataclass(frozen=True, slots=True, kw_only=True)
class ShiftCount:
    """Molds of one pattern counted in a shift, or a part of it, with today's method: a row of counts.csv."""

    pattern: Code = says("code of the pattern")
    molds: Positive = says("molds made and counted")
    hours: Positive = says(
        "scheduled hours in which they were made, pattern changes in them, breaks left out", counted_in="h"
    )
    shift: str = says("day and shift, as the plant calls it", default="")
    source: str = says("where the count comes from", default="")


@dataclass(frozen=True, slots=True, kw_only=True)
class ScrapCount:
    """Castings poured and scrapped for one cause under one method: a row of scrap.csv."""

    pattern: Code = says("code of the pattern")
    method: Code = says("method under which the castings were made")
    cause: Code = says("the plant's own defect code")
    castings_poured: Annotated[int, Ge(1), Le(10_000_000)] = says("castings inspected")
    castings_scrapped: int = says("castings scrapped for this cause")
    setting_can_touch: bool = says("whether the core-setting method can cause it", default=False)
    source: Code = says("where the counts come from")
