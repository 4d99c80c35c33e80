"""A case: one decision, with everything that bears on it, as one value."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Annotated, Literal

from annotated_types import Ge, Le, Len

from coreset.case.action import Action
from coreset.case.actual import Actual
from coreset.case.fields import Code, Count, Percent, Positive, says
from coreset.case.growth import ItemGrowth
from coreset.case.lift import Lift, Place
from coreset.case.method import Method
from coreset.case.money import NO_PRICES, Money
from coreset.case.option import Option
from coreset.case.pattern import Core, Pattern, ScrapCount, ShiftCount
from coreset.case.plant import Line, Setter
from coreset.case.promise import Promise
from coreset.case.study import Allowances, Driver, RatedPace, Study, WatchedShift

Units = Literal["metric", "us"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """The decision: patterns, cores, lifts, studies, methods, line, setter, money."""

    title: Code = says("what is decided, in a line")
    units: Units = says("unit set of every column: metric or us")
    currency: Annotated[str, Len(3, 3)] = says("currency by its ISO 4217 code")
    date: str = says("day of the case", default="")
    plant: str = says("plant, by a code or an invented name", default="")
    invented: bool = says("whether the figures are made up for teaching", default=False)
    baseline: Code = says("current method (baseline)", default="manual")
    candidate: Code = says("method that is weighed against it", default="core setter")
    seed: Count = says("seed of every simulation run", default=1)
    operator_sd_pct: Percent = says(
        "usual difference between operators after rating, one standard deviation; assumed, no source", default=5.0
    )
    day_sd_pct: Percent = says(
        "usual difference of one operator from day to day, one standard deviation; assumed, no source", default=2.0
    )
    restudy_drift_pct: Positive = says(
        "a standard is due for a new study where molds counted take so much more or less time than predicted; "
        "own choice, no source",
        default=10.0,
    )
    form: Annotated[int, Ge(1), Le(2)] = says(
        "form of the case: 2; without it 1, in which an overall uptime holds the listed stops too", default=1
    )
    decimal: Literal["point", "comma", "us"] = says(
        "how numbers are written: point 1 234.5, comma 1 234,5, us $1,234.5 and 80%", default="point"
    )
    date_style: Literal["iso", "day", "month"] = says("how a date is written: year, day or month first", default="iso")
    place: Place = Place()
    line: Line = Line()
    setter: Setter = Setter()
    money: Money = NO_PRICES
    allowances: tuple[Allowances, ...] = ()
    methods: tuple[Method, ...] = ()
    patterns: tuple[Pattern, ...] = ()
    cores: tuple[Core, ...] = ()
    lifts: tuple[Lift, ...] = ()
    actions: tuple[Action, ...] = ()
    scrap: tuple[ScrapCount, ...] = ()
    counts: tuple[ShiftCount, ...] = ()
    raters: tuple[RatedPace, ...] = ()
    drivers: tuple[Driver, ...] = ()
    delays: tuple[WatchedShift, ...] = ()
    actuals: tuple[Actual, ...] = ()
    promised: tuple[Promise, ...] = ()
    options: tuple[Option, ...] = ()
    growth: tuple[ItemGrowth, ...] = ()
    studies: tuple[Study, ...] = ()

    def method(self, name: str) -> Method:
        """The method of that name; KeyError if there is none."""
        return {method.method: method for method in self.methods}[name]

    def pattern(self, code: str) -> Pattern:
        """The pattern of that code; KeyError if there is none."""
        return {pattern.pattern: pattern for pattern in self.patterns}[code]

    def listed(self, code: str) -> Pattern | None:
        """The pattern of that code, or None where patterns.csv does not have it: a standard needs no volume."""
        return next((pattern for pattern in self.patterns if pattern.pattern == code), None)

    @property
    def priced(self) -> bool:
        """Whether any price of the purchase or any wage was entered."""
        money = self.money
        offers = (money.setter_price.likely, money.lease_per_year, money.second_hand_price, money.wage_per_h.likely)
        return any(offer > 0 for offer in offers)

    def core(self, pattern: str, code: str) -> Core:
        """One core of a pattern; KeyError if there is none."""
        return {(core.pattern, core.core): core for core in self.cores}[pattern, code]

    def mass_of(self, lift: Lift) -> float:
        """Load of a task: its own, else the core's; NaN where neither is given. [mass of the case]"""
        if lift.mass:
            return lift.mass
        return next((c.mass for c in self.cores if (c.pattern, c.core) == (lift.pattern, lift.core)), math.nan)

    def cores_of(self, pattern: str) -> tuple[Core, ...]:
        """Cores and inserts of one pattern, in file order."""
        return tuple(core for core in self.cores if core.pattern == pattern)

    def on_mask(self, pattern: str) -> tuple[Core, ...]:
        """Those that a core mask takes."""
        return tuple(core for core in self.cores_of(pattern) if core.in_mask)

    def core_count(self, pattern: str) -> int:
        """Cores in one mold, inserts left out."""
        return sum(core.per_mold for core in self.cores_of(pattern) if core.kind == "core")

    def studies_of(self, *, pattern: str, method: str) -> tuple[Study, ...]:
        """Studies of one pattern under one method, in file order."""
        return tuple(s for s in self.studies if s.pattern == pattern and s.method == method)

    def allowance_set(self, name: str) -> Allowances | None:
        """The allowance set of that name, or None."""
        return next((a for a in self.allowances if a.name == name), None)
