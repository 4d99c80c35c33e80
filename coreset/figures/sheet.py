"""A model as cells of a workbook: values of inputs, formulas of figures with the values they come to, names."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coreset.errors import CoresetError
from coreset.figures.layout import Layout
from coreset.figures.sheet_formula import formula

FORBIDDEN = re.compile(r"[A-Za-z]{1,3}[0-9]+|[rR]|[cC]|[rR][0-9]*[cC][0-9]*|true|false", re.IGNORECASE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """One cell: an input has a value only; a figure a formula and the value it comes to. `name` is a defined name."""

    sheet: str
    row: int
    column: int
    key: str
    value: float | str
    formula: str = ""
    name: str = ""


def cells(plan: Layout, values: Mapping[str, NDArray[np.float64]]) -> Iterator[Cell]:
    """Every cell of the model.

    Parameters
    ----------
    plan : Layout
        Where the keys stand.
    values : mapping of str to ndarray, shape (patterns or 1, years or 1, 1)
        Value of every input and figure.

    Raises
    ------
    CoresetError
        If a name could be taken for a cell or is used twice.
    """
    model, used = plan.model, set()
    years = plan.places["years"]
    yield Cell(sheet=years.sheet, row=years.row, column=years.column, key="years", value=plan.years, name="years")
    for key in (*model.inputs, *model.figures):
        for pattern, time, row, column in _spots(plan, key):
            value = _value(values[key], pattern, time if "t" in model.axes[key] else time - 1)
            text = "" if key in model.inputs else "=" + formula(plan, key, pattern, time)
            name = _name(plan, key, pattern, time)
            if name:
                _check_name(name, used)
            yield Cell(
                sheet=plan.places[key].sheet, row=row, column=column, key=key, value=value, formula=text, name=name
            )


def _spots(plan: Layout, key: str) -> Iterator[tuple[int, int, int, int]]:
    """Pattern, time, row and column of each value of a key; of pairs the time is the second pattern."""
    axes, place = plan.model.axes[key], plan.places[key]
    patterns = range(len(plan.codes)) if "p" in axes else (0,)
    times = range("y" in axes, plan.years + 1) if axes & frozenset("yt") else (1,)
    for pattern in patterns:
        if "q" in axes:
            yield from ((pattern, q + 1, place.row + pattern, place.column + q) for q in range(len(plan.codes)))
            continue
        for time in times:
            yield pattern, time, *plan.spot(axes, place, pattern, time)


def _value(array: NDArray[np.float64], pattern: int, time: int) -> float | str:
    value = float(array[min(pattern, array.shape[0] - 1), min(max(time, 0), array.shape[1] - 1), 0])
    if np.isnan(value):
        return "none"
    return value if np.isfinite(value) else "never"


def _name(plan: Layout, key: str, pattern: int, time: int) -> str:
    axes, entered = plan.model.axes[key], key in plan.model.inputs
    if not axes:
        return key
    if not entered or "q" in axes:
        return ""
    parts = [key, *([plan.suffixes[pattern]] if "p" in axes else []), *([str(time)] if "y" in axes else [])]
    return "_".join(parts)


def _check_name(name: str, used: set[str]) -> None:
    if FORBIDDEN.fullmatch(name) or name.lower() in used:
        raise CoresetError(f"name of a cell must be new and unlike a cell, got {name!r}")
    used.add(name.lower())
