"""A plain CSV of very many lifts -> its worst rows and how many stand where, worked as arrays."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coreset.cli.lift_answer import FEW_ROWS, summary
from coreset.cli.lift_file import CHOICES, NO, YES, wrong_columns
from coreset.lifting.columns import DESTINATION, MEASURED, NO_INDEX, SITUATIONS
from coreset.lifting.constants import UNIT_SETS
from coreset.lifting.equation import WIDEST_ANGLE_DEG
from coreset.lifting.lift_end import Posture, rate
from coreset.lifting.lift_table import answers
from coreset.lifting.scope import FREQUENCY_MAX_PER_MIN, HEIGHT_MAX, MASS_MAX, REACH_MAX, REACH_MIN

Floats = NDArray[np.float64]
ROWS_FROM = 20_000
"""Rows from which a table is worked as arrays; below, row by row is as quick."""
SHORTEST_ROW = len("us,1,9,9,9,9,1,long,poor")
"""Letters of a row with one digit a number: a file of fewer than so many a row is not long."""
BLOCK = 32_768
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
    if columns is None:
        return None
    columns |= {name: np.ones(len(columns["mass"]), dtype=bool) for name in situations}
    if (rwl := _rated(columns)) is None:
        return None
    index = np.divide(columns["mass"], rwl, out=np.full(len(rwl), np.nan), where=rwl > 0)
    covered = ~np.logical_or.reduce([columns[name] for name in NO_INDEX])
    zero = covered & (rwl == 0)
    badness = np.where(zero, np.inf, np.where(covered, index, -1.0))
    worst = _worst(badness)
    rows = [{name: _cell(name, column, place) for name, column in columns.items()} for place in worst]
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


def _read(path: Path) -> dict[str, Any] | None:
    """Columns of a CSV by name, numbers as numbers; None where a cell or the header is not plain."""
    if path.suffix.lower() != ".csv" or not path.is_file() or path.stat().st_size < ROWS_FROM * SHORTEST_ROW:
        return None
    from pyarrow import csv as arrow  # only for a long table: takes long to load
    from pyarrow import dictionary, float64, int32, string

    try:
        with path.open(encoding="utf-8-sig", newline="") as file:
            names = [name.strip().lower() for name in next(csv.reader(file), [])]
        if not all(names) or wrong_columns(names):
            return None
        kinds = {name: float64() for name in (*MEASURED, *DESTINATION)} | {"task": string()}
        kinds |= {name: dictionary(int32(), string()) for name in (*CHOICES, *SITUATIONS)}
        table = arrow.read_csv(
            path,
            read_options=arrow.ReadOptions(column_names=names, skip_rows=1),
            parse_options=arrow.ParseOptions(newlines_in_values=True),
            convert_options=arrow.ConvertOptions(
                include_columns=[name for name in names if name in kinds],
                column_types=kinds,
                null_values=[""],
                strings_can_be_null=False,
            ),
        )
    except (ValueError, OSError, csv.Error):
        return None
    return _columns(table.unify_dictionaries().combine_chunks()) if len(table) >= ROWS_FROM else None


def _columns(table: Any) -> dict[str, Any] | None:
    """Columns of a table as arrays, words as places in `CHOICES`, situations as truth; None where a word is none."""
    count = len(table)
    found: dict[str, Any] = {}
    for name in table.column_names:
        column = table[name].chunk(0)
        if name == "task":
            found[name] = column
        elif name not in (*CHOICES, *SITUATIONS):
            found[name] = _numbers(column)
        elif (places := _places(name, column)) is not None:
            found[name] = places
        else:
            return None
    found.setdefault("task", None)
    for name in DESTINATION:
        found.setdefault(name, np.full(count, np.nan))
    for name in SITUATIONS:
        found.setdefault(name, np.zeros(count, dtype=bool))
    apart = np.abs(found["vertical_destination"] - found["vertical"])
    found["travel"] = np.where(np.isnan(found["travel"]), apart, found["travel"])
    return found


def _numbers(column: Any) -> Floats:
    """A column of numbers, NaN where a cell is empty; by its buffers, as `to_numpy` would load pandas in half a second.

    Bit by bit from the lowest, the first buffer of a column says which cells hold a number (Arrow columnar format).
    """
    held, values = column.buffers()
    place = slice(column.offset, column.offset + len(column))
    numbers = np.frombuffer(values, dtype=np.float64)[place]
    if not column.null_count:
        return numbers
    there = np.unpackbits(np.frombuffer(held, dtype=np.uint8), bitorder="little")[place]
    return np.where(there, numbers, np.nan)


def _places(name: str, column: Any) -> NDArray[Any] | None:
    """Words of a column as places in `CHOICES`, or of a situation as truth; None where a word is none of these."""
    texts = [str(text).strip().lower() for text in column.dictionary.to_pylist()]
    allowed = CHOICES.get(name, YES + NO)
    if not set(texts) <= set(allowed):
        return None
    meant = [allowed.index(text) for text in texts] if name in CHOICES else [text in YES for text in texts]
    places: NDArray[Any] = np.from_dlpack(column.indices)
    return np.array(meant, dtype=np.int8 if name in CHOICES else bool).take(places)


def _plain(c: dict[str, Any]) -> bool:
    """Whether every value is finite and within the range of `scope.slips`, and each row has both ends or one."""
    there = [~np.isnan(c[name]) for name in DESTINATION]
    if any((one != there[0]).any() for one in there) or not all(np.isfinite(c[name]).all() for name in MEASURED):
        return False
    us = c["units"] == UNIT_SETS.index("us")

    def of(limits: dict[str, float]) -> Floats:
        return np.where(us, limits["us"], limits["metric"])

    good = (c["mass"] > 0) & (c["mass"] <= of(MASS_MAX))
    good &= (c["frequency"] >= 0) & (c["frequency"] <= FREQUENCY_MAX_PER_MIN)
    low, far, high = of(REACH_MIN), of(REACH_MAX), of(HEIGHT_MAX)
    for end in ("", "_destination"):
        h, v, a = (c[f"{name}{end}"] for name in ("horizontal", "vertical", "angle"))
        fits = (h >= low) & (h <= far) & (v >= 0) & (v <= high) & (a >= 0) & (a <= WIDEST_ANGLE_DEG)
        good &= fits | ~there[0] if end else fits
    least = np.nan_to_num(np.abs(c["vertical_destination"] - c["vertical"]))
    return bool((good & (c["travel"] >= least * (1 - SAME))).all())


def _rated(c: dict[str, Any]) -> Floats | None:
    """RWL of the governing end of every row, block by block on every core; None where a row is not plain."""
    used = {name: c[name] for name in ("units", *MEASURED, *DESTINATION, "duration", "coupling")}
    starts = range(0, len(c["mass"]), BLOCK)
    with ThreadPoolExecutor() as threads:
        found = [
            *threads.map(lambda at: _block({name: column[at : at + BLOCK] for name, column in used.items()}), starts)
        ]
    limits = [one for one in found if one is not None]
    return np.concatenate(limits) if len(limits) == len(found) else None


def _block(c: dict[str, Any]) -> Floats | None:
    """RWL of the governing end of rows in either unit set; None where one is not plain."""
    if not _plain(c):
        return None
    rwl = np.empty(len(c["mass"]))
    for place, units in enumerate(UNIT_SETS):
        if (own := c["units"] == place).all():
            return _limits(c, units)
        rwl[own] = _limits({name: column[own] for name, column in c.items()}, units)
    return rwl


def _limits(c: dict[str, Any], units: str) -> Floats:
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


def _worst(badness: Floats) -> NDArray[np.int64]:
    """Places of the `FEW_ROWS` largest, largest first, of equal ones the earlier first."""
    few = min(FEW_ROWS, len(badness))
    border = np.partition(badness, -few)[-few]
    places = np.flatnonzero(badness >= border)
    return places[np.argsort(-badness[places], kind="stable")][:few]


def _cell(name: str, column: Any, place: int) -> Any:
    """A value of a row as plain Python, a choice as its word; None for a destination that is not given."""
    if name == "task":
        return "" if column is None else column[int(place)].as_py().strip()
    plain = column[place].item()
    if name in CHOICES:
        return CHOICES[name][plain]
    return None if plain != plain else plain
