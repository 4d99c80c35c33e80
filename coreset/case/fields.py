"""How a field of a case says its meaning, its unit and its limits; the readers and pages follow these."""

from __future__ import annotations

import dataclasses
from typing import Annotated, Any

from annotated_types import Ge, Gt, Le, MinLen

UNIT_SETS = {
    "metric": {"mass": "kg", "length": "cm", "size": "mm", "area": "cm2", "distance": "m", "force": "N"},
    "us": {"mass": "lb", "length": "in", "size": "in", "area": "in2", "distance": "ft", "force": "lbf"},
}
"""Suffix of a column for each kind of unit, by the case's unit set."""

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


def says(meaning: str, *, unit: str | None = None, default: Any = dataclasses.MISSING) -> Any:
    """A dataclass field with its meaning and, where the unit set decides its suffix, the kind of unit.

    A field whose unit is the same in both sets carries it in its own name (`clock_s`, `wage_per_h`).
    """
    metadata = {"meaning": meaning, "unit": unit}
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


def meaning(kind: type, name: str) -> str:
    """What one field of a case value means, in a sentence."""
    return next(f.metadata["meaning"] for f in dataclasses.fields(kind) if f.name == name)


@dataclasses.dataclass(frozen=True, slots=True, kw_only=True)
class Range:
    """A figure that is not known exactly: low, likely, high, and who says so.

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
