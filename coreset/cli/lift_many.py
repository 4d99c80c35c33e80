"""A plain CSV of very many lifts -> its worst rows and how many stand where, worked as arrays."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coreset.cli.lift_answer import FEW_ROWS, summary
from coreset.cli.lift_file import CHOICES, NO, YES, wrong_columns
from coreset.lifting.columns import DESTINATION, MEASURED, NO_INDEX, SITUATIONS
from coreset.lifting.constants import UNIT_SETS
from coreset.lifting.lift_end import Posture, rate
from coreset.lifting.lift_table import answers
from coreset.lifting.scope import FREQUENCY_MAX_PER_MIN, HEIGHT_MAX, MASS_MAX, REACH_MAX, REACH_MIN

Floats = NDArray[np.float64]
ROWS_FROM = 20_000
"""Rows from which a table is worked as arrays; below, row by row is as quick."""
BLOCK = 65_536
SAME = 1e-9


def many_lifts(path: Path, situations: Sequence[str]) -> str | None:
    """The answer on a long CSV of lifts, worst first; None where it is short or not plain and must be read by row.

    Parameters
    ----------
    path : Path
        The table.
    situations : sequence of str
        Situations that hold for every row.

    Returns
    -------
    str or None
        None for another kind of file, for few rows, and for any cell that is not a plain value within its range: then
        `lift_file.read_lifts` says what is wrong, or reads what only it can.
    """
    columns = _read(path)
    if columns is None or len(columns["mass"]) < ROWS_FROM:
        return None
    columns |= {name: np.ones(len(columns["mass"]), dtype=bool) for name in situations}
    if not _plain(columns):
        return None
    rwl, index = _rated(columns)
    covered = ~np.logical_or.reduce([columns[name] for name in NO_INDEX])
    zero = covered & (rwl == 0)
    badness = np.where(zero, np.inf, np.where(covered, index, -1.0))
    worst = np.argsort(-badness, kind="stable")[:FEW_ROWS]
    rows = [{name: _cell(name, column[place]) for name, column in columns.items()} for place in worst]
    numbers = [row["task"] or str(place + 1) for row, place in zip(rows, worst, strict=True)]
    known = covered & ~zero
    counts = {
        "total": len(index),
        "above_1": int((index[known] > 1).sum()),
        "above_3": int((index[known] > 3).sum()),
        "without": int((~known).sum()),
    }
    one_end = int(np.isnan(columns["horizontal_destination"]).sum())
    return summary(rows, answers(rows), numbers, counts, one_end, by_hand=False)


def _read(path: Path) -> dict[str, NDArray] | None:
    """Columns of a CSV by name, numbers as numbers; None where a cell or the header is not plain."""
    import pandas as pd  # only for a long table: it takes long to load

    if path.suffix.lower() != ".csv" or not path.is_file():
        return None
    try:
        with path.open(encoding="utf-8-sig", newline="") as file:
            header = next(csv.reader(file), [])
        names = [name.strip().lower() for name in header]
        if not all(names) or wrong_columns(names):
            return None
        held = [name for name in names if name in {"task", *CHOICES, *MEASURED, *DESTINATION, *SITUATIONS}]
        words = {name: "category" for name in held if name in (*CHOICES, *SITUATIONS)}
        kinds = words | {name: "float64" for name in held if name in (*MEASURED, *DESTINATION)} | {"task": "str"}
        given = {name: [""] for name in (*DESTINATION, "travel") if name in held}
        frame = pd.read_csv(
            path,
            names=names,
            header=0,
            usecols=held,
            dtype=kinds,
            encoding="utf-8-sig",
            keep_default_na=False,
            na_values=given,
            index_col=False,
        )
    except (ValueError, OSError, csv.Error):
        return None
    return _columns(frame, words)


def _columns(frame: Any, words: Any) -> dict[str, NDArray] | None:
    """Columns of a frame as arrays, words as places in `CHOICES`, situations as truth; None where a word is none."""
    found = {name: frame[name].to_numpy() for name in frame if name not in words}
    for name in words:
        texts = [str(text).strip().lower() for text in frame[name].cat.categories]
        allowed = CHOICES.get(name, YES + NO)
        if not set(texts) <= set(allowed):
            return None
        meant = np.array([allowed.index(text) if name in CHOICES else text in YES for text in texts])
        found[name] = meant[frame[name].cat.codes.to_numpy()]
    count = len(frame)
    found.setdefault("task", np.full(count, ""))
    for name in DESTINATION:
        found.setdefault(name, np.full(count, np.nan))
    for name in SITUATIONS:
        found.setdefault(name, np.zeros(count, dtype=bool))
    apart = np.abs(found["vertical_destination"] - found["vertical"])
    found["travel"] = np.where(np.isnan(found["travel"]), apart, found["travel"])
    return found


def _plain(c: dict[str, NDArray]) -> bool:
    """Whether every value is finite and within the range of `scope.slips`, and each row has both ends or one."""
    there = ~np.isnan(np.array([c[name] for name in DESTINATION]))
    if (there.any(axis=0) != there.all(axis=0)).any() or not all(np.isfinite(c[name]).all() for name in MEASURED):
        return False
    us = c["units"] == UNIT_SETS.index("us")

    def of(limits: dict[str, float]) -> Floats:
        return np.where(us, limits["us"], limits["metric"])

    good = (c["mass"] > 0) & (c["mass"] <= of(MASS_MAX))
    good &= (c["frequency"] >= 0) & (c["frequency"] <= FREQUENCY_MAX_PER_MIN)
    for end in ("", "_destination"):
        h, v, a = (c[f"{name}{end}"] for name in ("horizontal", "vertical", "angle"))
        fits = (h >= of(REACH_MIN)) & (h <= of(REACH_MAX)) & (v >= 0) & (v <= of(HEIGHT_MAX)) & (a >= 0) & (a <= 180)
        good &= fits | (np.isnan(h) if end else False)
    least = np.nan_to_num(np.abs(c["vertical_destination"] - c["vertical"]))
    return bool((good & (c["travel"] >= least * (1 - SAME))).all())


def _rated(c: dict[str, NDArray]) -> tuple[Floats, Floats]:
    """RWL of the governing end and index of every row, NaN where RWL is 0."""
    rwl = np.empty(len(c["mass"]))
    for place, units in enumerate(UNIT_SETS):
        rows = np.flatnonzero(c["units"] == place)
        for start in range(0, len(rows), BLOCK):
            part = rows[start : start + BLOCK]
            rwl[part] = _limits({name: column[part] for name, column in c.items()}, units)
    return rwl, np.divide(c["mass"], rwl, out=np.full(len(rwl), np.nan), where=rwl > 0)


def _limits(c: dict[str, NDArray], units: str) -> Floats:
    """The lower RWL of both ends of rows in one unit set, of the origin where no other is given."""
    shared = {
        "travel": c["travel"], "frequency_per_min": c["frequency"], "duration": c["duration"],
        "coupling": c["coupling"], "units": units,
    }  # fmt: skip
    here = rate(Posture(horizontal=c["horizontal"], vertical=c["vertical"], angle_deg=c["angle"], **shared)).rwl
    far = np.isfinite(c["horizontal_destination"])
    if not far.any():
        return here
    h, v, a = (np.where(far, c[f"{n}_destination"], c[n]) for n in ("horizontal", "vertical", "angle"))
    there = rate(Posture(horizontal=h, vertical=v, angle_deg=a, vertical_at_origin=c["vertical"], **shared)).rwl
    return np.minimum(here, there)


def _cell(name: str, value: Any) -> Any:
    """A value of a row as plain Python, a choice as its word; None for a destination that is not given."""
    if name in CHOICES:
        return CHOICES[name][int(value)]
    plain = value.item() if isinstance(value, np.generic) else value
    return None if plain != plain else plain
