"""What a declaration holds: an input with its unit, or a figure with its unit and its formula."""

from __future__ import annotations

from dataclasses import dataclass, replace

AXES = ("", "p", "y", "py", "pq")
"""What an input may vary by: nothing, pattern, year, both, or pairs of patterns."""


@dataclass(frozen=True, slots=True)
class Input:
    """A number that is entered or comes from another room.

    `axes` is what it may vary by, one of `AXES`; `default` is its value where none is given. `constant` marks a number
    that nobody enters (minutes in an hour). `carried` marks a result of the program that a workbook cannot recompute.
    """

    key: str
    unit: str
    label: str
    axes: str = ""
    default: float | None = None
    constant: bool = False
    carried: bool = False


@dataclass(frozen=True, slots=True)
class Figure:
    """A number that follows from others by `formula`, a string in the language of `coreset.figures.grammar`.

    `kind` groups the figures that `every("kind")` adds up. `numbers` are the literals other than 0, 1 and 2 that the
    formula may hold because a published formula has them. `source` is a key of reference/sources.csv and
    `rule` an id of its rules.

    With `growth`, a name or 1, the formula is at today's prices: the model then has a figure `<key>_now` with the
    formula, of kind `<kind>_now`, and the figure itself is that one times the growth and, year by year, the input
    `<key>_growth`.
    """

    key: str
    unit: str
    label: str
    formula: str
    kind: str = ""
    numbers: tuple[float, ...] = ()
    source: str = ""
    rule: str = ""
    growth: str = ""

    def own_growth(self) -> tuple[Input, ...]:
        """The input that a figure which grows has beyond its growth: 0 where nothing is given."""
        label = f"growth of {self.label} per year beyond the inflation of its kind"
        return (Input(f"{self.key}_growth", "1", label, default=0.0),) if self.growth else ()

    def written_out(self) -> tuple[Figure, ...]:
        """The figure, preceded by the one at today's prices where it grows.

        Examples
        --------
        >>> rent = Figure("rent", "currency/year", "rent", "-area * price", "operating", growth="price_level")
        >>> [(each.key, each.kind, each.formula) for each in rent.written_out()]
        [('rent_now', 'operating_now', '-area * price'),
         ('rent', 'operating', 'rent_now * (price_level * (1 + rent_growth) ** year)')]
        """
        if not self.growth:
            return (self,)
        now = replace(self, key=f"{self.key}_now", label=f"{self.label}, at today's prices", growth="")
        grown = replace(
            self, formula=f"{now.key} * ({self.growth} * (1 + {self.key}_growth) ** year)", growth="", numbers=()
        )
        return replace(now, kind=f"{self.kind}_now"), grown
