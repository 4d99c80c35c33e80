"""The values that every room shares: a case and its parts. No disk, clock or network; no rules but limits."""

from coreset.case.action import Action
from coreset.case.actual import Actual
from coreset.case.case import Case
from coreset.case.fields import (
    UNIT_SETS,
    US_STYLE,
    Range,
    celsius,
    column,
    fahrenheit,
    item_of,
    meaning,
    most,
    plausible,
    range_names,
    shown_unit,
    yearly_costs,
)
from coreset.case.growth import ItemGrowth
from coreset.case.lift import PLANT_CHANGES, Lift, Place
from coreset.case.method import Method, Step
from coreset.case.money import Money
from coreset.case.option import Option
from coreset.case.pattern import Core, Pattern, ScrapCount, ShiftCount
from coreset.case.plant import Line, Setter, Stop
from coreset.case.promise import Promise
from coreset.case.study import (
    AllowanceLine,
    Allowances,
    Correction,
    Driver,
    Element,
    RatedPace,
    Reading,
    Readings,
    Study,
    WatchedShift,
)

__all__ = [
    "Action",
    "Actual",
    "UNIT_SETS",
    "US_STYLE",
    "AllowanceLine",
    "Allowances",
    "Case",
    "Core",
    "Correction",
    "Driver",
    "Element",
    "ItemGrowth",
    "Lift",
    "Line",
    "Method",
    "Money",
    "Option",
    "PLANT_CHANGES",
    "Pattern",
    "Place",
    "Promise",
    "Range",
    "RatedPace",
    "Reading",
    "Readings",
    "ScrapCount",
    "ShiftCount",
    "WatchedShift",
    "Setter",
    "Step",
    "Stop",
    "Study",
    "celsius",
    "column",
    "fahrenheit",
    "item_of",
    "meaning",
    "most",
    "plausible",
    "range_names",
    "shown_unit",
    "yearly_costs",
]
