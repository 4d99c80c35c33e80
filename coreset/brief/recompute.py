"""One printed cell calculated again by the formula that the tool uses: what is printed, what comes out, as working."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from coreset.lifting import equation
from coreset.money.tax import macrs
from coreset.rounding import fixed
from coreset.sources import table
from coreset.text import say
from coreset.working import Working

Calculate = Callable[[dict[str, str], str], float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Formula:
    """How a table's cells are calculated: from which column, by what, in words."""

    given: str
    words: str
    calculate: Calculate


def _of(function: Callable[..., Any], given: str, units: str = "") -> Calculate:
    extra = {"units": units} if units else {}
    return lambda row, column: float(function(float(row[given]), **extra))


def _frequency(row: dict[str, str], column: str) -> float:
    duration, _, side = column.rpartition("_")
    return float(equation.frequency_multiplier(float(row["frequency_per_min"]), duration, 80 if side == "high" else 40))


def _coupling(row: dict[str, str], column: str) -> float:
    return float(equation.coupling_multiplier(row["coupling"], 80 if column.endswith("high") else 40))


def _macrs(row: dict[str, str], column: str) -> float:
    return 100 * float(macrs(int(row["class_years"]))[int(row["year"]) - 1])


def formulas() -> dict[str, Formula]:
    """Tables whose cells can be calculated, by path."""
    n = "waters1994"
    found = {
        f"{n}/table4_asymmetry": Formula(
            given="asymmetry_deg", words="1 - 0.0032 A", calculate=_of(equation.asymmetry_multiplier, "asymmetry_deg")
        ),
        f"{n}/table5_frequency": Formula(given="frequency_per_min", words="FM(F, duration, V)", calculate=_frequency),
        f"{n}/table7_coupling": Formula(given="coupling", words="CM(coupling, V)", calculate=_coupling),
        "irs946/table_a1_half_year": Formula(given="year", words=say("front.sources.macrs"), calculate=_macrs),
    }
    for units, unit in (("metric", "cm"), ("us", "in")):
        for stem, given, words, function in (
            ("table1_horizontal", "horizontal", "HM(H)", equation.horizontal_multiplier),
            ("table2_vertical", "vertical", "VM(V)", equation.vertical_multiplier),
            ("table3_travel", "travel", "DM(D)", equation.distance_multiplier),
        ):
            column = f"{given}_{unit}"
            calculate = _of(function, column, units)
            found[f"{n}/{stem}_{units}"] = Formula(given=column, words=words, calculate=calculate)
    return found


def cells(path: str) -> list[str]:
    """Columns of a table that can be calculated again; none where the tool only reads it."""
    formula = formulas().get(path)
    if formula is None:
        return []
    names = table(path).rows[0]
    return [name for name in names if name not in {formula.given, "status", "class_years"}]


def recompute(path: str, row: int, column: str) -> Working:
    """A printed cell and what the formula gives for it.

    Parameters
    ----------
    path : str
        Table of `reference/`, without its ending; one of `formulas()`.
    row : int
        Number of the row, from 0.
    column : str
        One of `cells(path)`.

    Raises
    ------
    KeyError
        If the tool has no formula for the table.

    Examples
    --------
    >>> found = recompute("waters1994/table4_asymmetry", 1, "am")
    >>> found.numbers, round(found.value, 3)
    ('asymmetry_deg 15: printed .95', 0.952)
    """
    found, formula = table(path), formulas()[path]
    printed = found.rows[row]
    value = formula.calculate(printed, column)
    given = f"{formula.given} {printed[formula.given]}"
    return Working(
        what=column,
        formula=formula.words,
        numbers=say("front.sources.printed", given=given, printed=printed[column]),
        value=value,
        source=found.key,
        where=found.source.partition(", ")[2],
        status=found.row_status(printed),
    )


def verdict(path: str, row: int, column: str) -> str:
    """Whether the formula, rounded as printed, gives the printed cell.

    Parameters
    ----------
    path : str
        As in `recompute`.
    row : int
        Number of the row, from 0.
    column : str
        One of `cells(path)`; compared in the digits that are printed.
    """
    printed = table(path).rows[row][column]
    rounded = fixed(recompute(path, row, column).value, len(printed.partition(".")[2]))
    agree = float(rounded) == float(printed)
    return say(f"front.sources.{'agree' if agree else 'differ'}", printed=printed, rounded=rounded)
