"""How a field of a case says its meaning, its unit and its limits; the readers and pages follow these."""

from __future__ import annotations

import dataclasses
import math
from functools import cache
from typing import Annotated, Any

from annotated_types import Ge, Gt, Le, MinLen

from coreset.units import KG_PER_LB

UNIT_SETS = {
    "metric": {
        "mass": "kg",
        "length": "cm",
        "size": "mm",
        "area": "cm2",
        "distance": "m",
        "force": "N",
        "temperature": "c",
    },
    "us": {
        "mass": "lb",
        "length": "in",
        "size": "in",
        "area": "in2",
        "distance": "ft",
        "force": "lbf",
        "temperature": "f",
    },
}
"""Suffix of a column for each kind of unit, by the case's unit set."""
US_STYLE = {"decimal": "us", "date_style": "month"}
"""How a new case in US units and dollars writes numbers and days, until somebody chooses another way."""

SHOWN_UNITS = {
    "c": "°C",
    "f": "°F",
    "pct": "%",
    "deg": "degrees",
    "kg": "kg",
    "m_s2": "m/s2",
    "kpa": "kPa",
    "l_min": "l/min",
    "per_min": "per minute",
    "kw": "kW",
    "min": "min",
    "s": "s",
}
"""Suffixes that are shown in another form, or that stand in a field's own name; the longer before its ending."""

Code = Annotated[str, MinLen(1)]
Positive = Annotated[float, Gt(0)]
NotNegative = Annotated[float, Ge(0)]
Share = Annotated[float, Ge(0), Le(1)]
Percent = Annotated[float, Ge(0), Le(100)]
Count = Annotated[int, Ge(0)]
CountFromOne = Annotated[int, Ge(1)]
Years = Annotated[int, Ge(1), Le(100)]
OfMold = Annotated[int, Ge(1), Le(1000)]
"""As many of one kind as a mold may hold; a larger number is a slip."""


def says(
    meaning: str,
    *,
    unit: str | None = None,
    counted_in: str = "",
    default: Any = dataclasses.MISSING,
    plausible: tuple[float, float] | None = None,
    slip: str = "",
    most: float | None = None,
    yearly_cost: bool = False,
) -> Any:
    """A dataclass field with its meaning and, where the unit set decides its suffix, the kind of unit.

    Parameters
    ----------
    meaning : str
        What a form and a file say of the field.
    unit : str, optional
        Kind of unit where the unit set decides it: length, mass, temperature, distance.
    counted_in : str
        Unit that is the same in both sets, as a form shows it: "molds/year", "{currency}/h", "share".
    default : value
        Value where none is entered; without it the field is required.
    plausible : (float, float), optional
        Range outside which a figure is questioned, in the metric unit.
    slip : str
        What was likely typed where a figure is outside it.
    most : float, optional
        Largest value that a range may have.
    yearly_cost : bool
        Whether the field is an item of the cash flow by itself: paid each year that the setter is used, at prices that
        grow, named after the field without `_per_year`.
    """
    metadata = {"meaning": meaning, "unit": unit, "plausible": plausible, "slip": slip, "most": most}
    metadata |= {"yearly_cost": yearly_cost, "counted_in": counted_in}
    if default is dataclasses.MISSING:
        return dataclasses.field(metadata=metadata)
    return dataclasses.field(metadata=metadata, default=default)


def column(field: dataclasses.Field[Any], units: str) -> str:
    """Name of a field as a column or key of a file, with its unit.

    Examples
    --------
    >>> from coreset.case import Lift
    >>> [column(f, "us") for f in dataclasses.fields(Lift) if f.name == "horizontal_origin"]
    ['horizontal_origin_in']
    """
    unit = field.metadata.get("unit")
    return f"{field.name}_{UNIT_SETS[units][unit]}" if unit else field.name


def celsius(temperature: float, units: str) -> float:
    """A temperature of a case in degrees Celsius.

    Examples
    --------
    >>> celsius(24.0, "metric"), round(celsius(95.0, "us"), 6)
    (24.0, 35.0)
    """
    return temperature if units == "metric" else (temperature - 32.0) / 1.8


def fahrenheit(temperature_c: float) -> float:
    """A temperature in degrees Fahrenheit, from degrees Celsius.

    Examples
    --------
    >>> fahrenheit(25.0)
    77.0
    """
    return temperature_c * 1.8 + 32.0


def plausible(field: dataclasses.Field[Any], units: str) -> tuple[float, float] | None:
    """The range outside which a figure of a field is questioned, in the unit of the case; None where none is said.

    Examples
    --------
    >>> from coreset.case import Place
    >>> [plausible(f, "us") for f in dataclasses.fields(Place) if f.name == "wet_bulb"]
    [(32.0, 104.0)]
    """
    found = field.metadata.get("plausible")
    if found is None or units == "metric" or field.metadata["unit"] is None:
        return found
    low, high = found
    if field.metadata["unit"] == "mass":
        return float(round(low / KG_PER_LB)), float(round(high / KG_PER_LB))
    if field.metadata["unit"] != "temperature":
        raise NotImplementedError(f"a plausible range of {field.metadata['unit']} has no conversion yet")
    return fahrenheit(low), fahrenheit(high)


def shown_unit(field: dataclasses.Field[Any], units: str) -> str:
    """Unit of a field as a form shows it, from the unit set or from the field's own name; empty where it has none.

    Examples
    --------
    >>> from coreset.case import Place
    >>> [shown_unit(f, "us") for f in dataclasses.fields(Place) if f.name in ("temperature", "humidity_pct", "crew")]
    ['°F', '%', '']
    """
    if kind := field.metadata.get("unit"):
        return SHOWN_UNITS.get(UNIT_SETS[units][kind], UNIT_SETS[units][kind])
    return next((shown for suffix, shown in SHOWN_UNITS.items() if field.name.endswith(f"_{suffix}")), "")


@cache
def range_names(kind: type) -> tuple[str, ...]:
    """Fields of a kind of value that may be entered as a range, in order."""
    return tuple(f.name for f in dataclasses.fields(kind) if f.type in {"Range", "Range | None"})


def yearly_costs(kind: type) -> tuple[str, ...]:
    """Fields of a kind of value that are items of the cash flow by themselves, in order."""
    return tuple(f.name for f in dataclasses.fields(kind) if f.metadata.get("yearly_cost"))


def item_of(field: str) -> str:
    """Name of the item that a yearly cost makes.

    Examples
    --------
    >>> item_of("floor_space_per_year")
    'floor_space'
    """
    return field.removesuffix("_per_year")


def most(kind: type, name: str) -> float:
    """The largest value that a range may have; infinite where no limit is stated."""
    found = next(f.metadata.get("most") for f in dataclasses.fields(kind) if f.name == name)
    return math.inf if found is None else float(found)


def meaning(kind: type, name: str) -> str:
    """What one field of a case value means, in a sentence; it is shown through `coreset.text.message`."""
    return next(f.metadata["meaning"] for f in dataclasses.fields(kind) if f.name == name)


@dataclasses.dataclass(frozen=True, slots=True, kw_only=True)
class Range:
    """A figure that is not known exactly: low, likely, high, and their sources.

    What low and high mean (which chance) is stated once a case, in `Money.range_meaning`.
    """

    likely: float
    low: float
    high: float
    source: str = ""

    @classmethod
    def exactly(cls, value: float, source: str = "") -> Range:
        """A figure taken as known."""
        return cls(likely=value, low=value, high=value, source=source)

    @property
    def known(self) -> bool:
        """Whether low and high coincide."""
        return self.low == self.high
