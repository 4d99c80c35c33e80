"""Where the keys of a model stand in a workbook.

Inputs stand one value below the other, single numbers first, then a block of patterns for each input by pattern; those
by year have a sheet of their own. Figures by year go to the right with now in the first column, money on a sheet apart
from the rest; those by pattern and year have a block each. Row and column count from 0.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field

from coreset.figures.model import Model

INPUTS, RESULTS, PATTERNS, HOURS, CASH = "inputs", "results", "patterns", "hours", "cash"
INPUT_YEARS, PATTERN_YEARS, PAIRS = "input_years", "pattern_years", "pairs"
SHEETS = (RESULTS, INPUTS, INPUT_YEARS, CASH, HOURS, PATTERNS, PATTERN_YEARS, PAIRS)
"""Sheets of a model, in the order in which a reader meets them."""
FIRST_ROW, FIRST_TIME = 5, 3
"""Row of the first key of a sheet; column of now."""
MONEY = "currency"


@dataclass(frozen=True, slots=True)
class Place:
    """Where a key stands: its sheet and first cell."""

    sheet: str
    row: int
    column: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """Places of all keys of a model for some patterns and years.

    `suffixes` are the patterns' ends of names; `headings` are rows left free for a heading, by sheet and row, each with
    the key that follows it; `titles` are what the sheets are called in the file, their own words where left out.
    """

    model: Model
    codes: tuple[str, ...]
    years: int
    places: Mapping[str, Place] = field(default_factory=dict)
    suffixes: tuple[str, ...] = ()
    headings: Mapping[tuple[str, int], str] = field(default_factory=dict)
    titles: Mapping[str, str] = field(default_factory=dict)

    def axes(self, key: str) -> frozenset[str]:
        """What a key varies by."""
        return self.model.axes[key]

    def cell(self, key: str, pattern: int, time: int, *, home: str) -> str:
        """Address of one value of a key, with its sheet unless that is `home`; the name of a single number."""
        axes, place = self.axes(key), self.places[key]
        if not axes:
            return key
        row, column = self.spot(axes, place, pattern, time)
        return self.on(place.sheet, home) + f"{letters(column)}{row + 1}"

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

    def spot(self, axes: frozenset[str], place: Place, pattern: int, time: int) -> tuple[int, int]:
        row = place.row + (pattern if "p" in axes else 0)
        return row, FIRST_TIME + time if axes & frozenset("yt") else place.column

    def title(self, sheet: str) -> str:
        """What a sheet is called in the file."""
        return self.titles.get(sheet, sheet)

    def on(self, sheet: str, home: str) -> str:
        """What stands before an address on a sheet in a formula on the sheet `home`."""
        return "" if sheet == home else f"'{self.title(sheet)}'!"

    def _range(self, sheet: str, home: str, start: tuple[int, int], end: tuple[int, int]) -> str:
        corners = [f"${letters(column)}${row + 1}" for row, column in (start, end)]
        return self.on(sheet, home) + ":".join(corners)


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


def layout(
    model: Model,
    codes: Sequence[str],
    years: int,
    *,
    sections: Collection[str] = (),
    results: Sequence[str] = (),
    titles: Mapping[str, str] | None = None,
) -> Layout:
    """Places of every key.

    Parameters
    ----------
    model : Model
        The declarations.
    codes : sequence of str
        Codes of the patterns.
    years : int
        Number of years.
    sections : collection of str
        Single inputs that begin a section under a heading of its own.
    results : sequence of str
        Single figures that stand first among the results; the others follow under a heading.
    titles : mapping of str to str, optional
        What the sheets are called in the file.

    Returns
    -------
    Layout
    """
    plan = _Rows(model, len(codes))
    plan.places |= {"year": Place(HOURS, FIRST_ROW - 1, 0), "period": Place(HOURS, FIRST_ROW - 1, 0)}
    for key in ("years", *sorted(model.inputs, key=lambda key: RANK[_shape(model, key)])):
        plan.take(key, headed=key in sections or _shape(model, key) in {"p", "py"})
    rest = [key for key in model.figures if key not in results]
    single = next((key for key in rest if not model.axes[key]), "")
    for key in (*results, *rest):
        plan.take(key, headed=key == single and bool(results) or _shape(model, key) == "py")
    return Layout(
        model=model,
        codes=tuple(codes),
        years=years,
        places=plan.places,
        suffixes=suffixes(codes),
        headings=plan.headings,
        titles=titles or {},
    )


RANK = {"": 0, "p": 1, "y": 2, "py": 3, "pq": 4}
"""Order of the inputs by what they vary by."""


def _shape(model: Model, key: str) -> str:
    return "".join(axis for axis in "pytq" if axis in model.axes.get(key, ()))


class _Rows:
    """Rows and columns handed out so far."""

    def __init__(self, model: Model, patterns: int) -> None:
        self.model, self.patterns, self.column = model, patterns, 1
        self.rows = dict.fromkeys(SHEETS, FIRST_ROW)
        self.places: dict[str, Place] = {}
        self.headings: dict[tuple[str, int], str] = {}

    def take(self, key: str, *, headed: bool) -> None:
        """Give a key its place, below a free row and a heading where it has one."""
        sheet, shape = sheet_of(self.model, key), _shape(self.model, key)
        if sheet == PATTERNS:
            self.places[key] = Place(sheet, FIRST_ROW, self.column)
            self.column += 1
            return
        if headed or sheet == PAIRS:
            self.rows[sheet] += self.rows[sheet] > FIRST_ROW
            self.headings[sheet, self.rows[sheet]] = key
            self.rows[sheet] += 1
        self.places[key] = Place(sheet, self.rows[sheet], 1)
        self.rows[sheet] += self.patterns if "p" in shape else 1


def sheet_of(model: Model, key: str) -> str:
    """The sheet on which a key stands: inputs together, figures by what they vary by and whether they are money."""
    axes = model.axes.get(key, frozenset())
    if "q" in axes:
        return PAIRS
    if key == "years" or key in model.inputs:
        return INPUT_YEARS if "y" in axes else INPUTS
    if "p" in axes:
        return PATTERN_YEARS if "y" in axes else PATTERNS
    if not axes:
        return RESULTS
    now = model.figures[key].kind.endswith("_now")
    return CASH if "t" in axes or model.unit(key).startswith(MONEY) and not now else HOURS
