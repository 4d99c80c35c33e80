"""Where the keys of a model stand in a workbook.

Single numbers stand one below the other, by pattern downward, by year to the right with now in the first column, by
both in a block of its own. Row and column count from 0.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from coreset.figures.model import Model

SINGLE, RESULT, PATTERN, YEAR, BOTH, PAIR = "Inputs", "Results", "Patterns", "Years", "PatternYears", "Pairs"
FIRST_ROW, FIRST_TIME = 4, 3
"""Row of the first key of a sheet; column of now."""


@dataclass(frozen=True, slots=True)
class SheetPlace:
    """Where a key stands: its sheet and first cell."""

    sheet: str
    row: int
    column: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetLayout:
    """Places of all keys of a model for some patterns and years; `suffixes` are the patterns' ends of names."""

    model: Model
    codes: tuple[str, ...]
    years: int
    places: Mapping[str, SheetPlace] = field(default_factory=dict)
    suffixes: tuple[str, ...] = ()

    def axes(self, key: str) -> frozenset[str]:
        """What a key varies by."""
        return self.model.axes[key]

    def cell(self, key: str, pattern: int, time: int, *, home: str) -> str:
        """Address of one value of a key, with its sheet unless that is `home`; the name of a single number."""
        axes, place = self.axes(key), self.places[key]
        if not axes:
            return key
        row, column = self.spot(axes, place, pattern, time)
        return self._on(place.sheet, home) + f"{letters(column)}{row + 1}"

    def down(self, key: str, time: int, *, home: str, pattern: int = 0) -> str:
        """Range of a key over all patterns at one time; of a pair over the first pattern, for the second one."""
        axes, place = self.axes(key), self.places[key]
        row, column = self.spot(axes, place, 0, time)
        column += pattern if "q" in axes else 0
        return self._range(place.sheet, home, (row, column), (row + len(self.codes) - 1, column))

    def along(self, key: str, pattern: int, first: int, last: int, *, home: str) -> str:
        """Range of a key over the times from first to last."""
        axes, place = self.axes(key), self.places[key]
        row, start = self.spot(axes, place, pattern, first)
        return self._range(place.sheet, home, (row, start), (row, start + last - first))

    def spot(self, axes: frozenset[str], place: SheetPlace, pattern: int, time: int) -> tuple[int, int]:
        row = place.row + (pattern if "p" in axes else 0)
        return row, FIRST_TIME + time if axes & frozenset("yt") else place.column

    def _on(self, sheet: str, home: str) -> str:
        return "" if sheet == home else f"{sheet}!"

    def _range(self, sheet: str, home: str, start: tuple[int, int], end: tuple[int, int]) -> str:
        corners = [f"${letters(column)}${row + 1}" for row, column in (start, end)]
        return self._on(sheet, home) + ":".join(corners)


def letters(column: int) -> str:
    """Letters of a column counted from 0.

    Examples
    --------
    >>> letters(0), letters(25), letters(26)
    ('A', 'Z', 'AA')
    """
    found, column = "", column + 1
    while column:
        column, rest = divmod(column - 1, 26)
        found = chr(65 + rest) + found
    return found


def suffixes(codes: Sequence[str]) -> tuple[str, ...]:
    """Ends of names for codes of patterns: every sign that a name cannot have becomes `_`, equal ones are counted.

    Examples
    --------
    >>> suffixes(["HB10", "hb-10", "HB 10"])
    ('HB10', 'hb_10', 'HB_10_2')
    """
    found: list[str] = []
    for code in codes:
        plain = re.sub(r"[^A-Za-z0-9]", "_", code)
        taken = [each.lower() for each in found]
        count, name = 1, plain
        while name.lower() in taken:
            count += 1
            name = f"{plain}_{count}"
        found.append(name)
    return tuple(found)


def layout(model: Model, codes: Sequence[str], years: int) -> SheetLayout:
    """Places of every key, inputs before figures, each in order of declaration."""
    places: dict[str, SheetPlace] = {
        "year": SheetPlace(YEAR, FIRST_ROW - 1, 0),
        "period": SheetPlace(YEAR, FIRST_ROW - 1, 0),
    }
    places["years"] = SheetPlace(SINGLE, FIRST_ROW, 1)
    rows = {SINGLE: FIRST_ROW + 1, RESULT: FIRST_ROW, YEAR: FIRST_ROW, BOTH: FIRST_ROW, PAIR: FIRST_ROW}
    column = 1
    for key in (*model.inputs, *model.figures):
        axes = model.axes[key]
        if axes == {"p"}:
            places[key] = SheetPlace(PATTERN, FIRST_ROW, column)
            column += 1
            continue
        sheet = _sheet(axes, key in model.inputs)
        blocks = sheet in {BOTH, PAIR}
        places[key] = SheetPlace(sheet, rows[sheet] + blocks, 1)
        rows[sheet] += len(codes) + 2 if blocks else 1
    return SheetLayout(model=model, codes=tuple(codes), years=years, places=places, suffixes=suffixes(codes))


def _sheet(axes: frozenset[str], entered: bool) -> str:
    if "q" in axes:
        return PAIR
    if "p" in axes:
        return BOTH
    if axes:
        return YEAR
    return SINGLE if entered else RESULT
