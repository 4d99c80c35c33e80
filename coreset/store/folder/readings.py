"""Readings of a study <-> CSV. In: text. Out: Readings, a column at a time, so that a million rows take seconds."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import islice
from typing import Any, get_args

from coreset.case import Readings
from coreset.case.study import Mark
from coreset.number_text import number, whole
from coreset.store.folder.faults import Faults, FaultSpot, known_name, one_of, shown
from coreset.store.folder.tables import delimiter_of, guarded, header, raw_rows, unguarded, with_points

COLUMNS = ("seq", "cycle", "element", "reading_s", "rating", "mark", "note")
REQUIRED = ("cycle", "element", "reading_s")
MARKS = get_args(Mark)
NUMERIC = ("seq", "cycle", "reading_s", "rating")
PIECE = 5_000
LARGEST = 1e9
"""Seconds, or a count, beyond which a number in a study is a slip; 30 years."""


def read_readings(text: str, file: str, faults: Faults) -> tuple[Readings, list[int]] | None:
    """Readings in the order taken and the row of each; None, with faults, if the table cannot be understood.

    Parameters
    ----------
    text : str
        The table as CSV.
    file : str
        Its name.
    faults : Faults
        Takes the faults.
    """
    rows = raw_rows(text, file, faults)
    number, first = next(rows, (1, None))
    top = FaultSpot(file=file, row=number)
    if first is None:
        faults.add(top.fault(found="an empty file", expected=f"a head {','.join(COLUMNS[1:])}"))
        return None
    names = header(first, top, faults)
    if names is None or not _columns_known(names, top, faults):
        return None
    columns, numbers = _columns(rows, names, file, faults)
    if delimiter_of(text) == ";":
        for name in NUMERIC:
            columns[name] = with_points(columns[name], numbers, FaultSpot(file=file), faults)
    return _readings(columns, numbers, file, faults), numbers


def _columns_known(names: list[str], top: FaultSpot, faults: Faults) -> bool:
    """Whether the head has what it must have and nothing else."""
    unknown = [name for name in names if name not in COLUMNS]
    for name in unknown:
        expected = "'reading_s': readings are in seconds" if name.startswith("reading") else known_name(name, COLUMNS)
        faults.add(top.fault(found=f"column {shown(name)}", expected=expected, column=name[:80]))
    missing = [name for name in REQUIRED if name not in names]
    for name in missing:
        faults.add(top.fault(found="no such column", expected=f"a column {name!r}", column=name))
    return not unknown and not missing


def _columns(rows: Iterator[tuple[int, list[str]]], names: list[str], file: str, faults: Faults) -> Any:
    """Cells by column and the row of each; short rows are filled up, a row that is too long is a fault.

    Taken in pieces: a million small lists at once would keep the garbage collector busy for longer than the reading.
    """
    width, numbers = len(names), list[int]()
    columns: list[list[str]] = [[] for _ in names]
    while piece := list(islice(rows, PIECE)):
        for row, cells in piece:
            if len(cells) != width:
                if any(cells[width:]):
                    spot = FaultSpot(file=file, row=row)
                    faults.add(spot.fault(found=f"{len(cells)} cells", expected=f"{width} cells, as in the head"))
                cells[:] = [*cells[:width], *[""] * (width - len(cells))]
        numbers.extend(row for row, _ in piece)
        for column, added in zip(columns, zip(*(cells for _, cells in piece), strict=True), strict=True):
            column.extend(added)
    blank = [""] * len(numbers)
    return dict.fromkeys(COLUMNS, blank) | dict(zip(names, columns, strict=True)), numbers


def _readings(columns: dict[str, Any], rows: list[int], file: str, faults: Faults) -> Readings:
    """The columns as values."""
    has_seq = any(columns["seq"])
    marks = tuple(_stripped(columns["mark"]))
    wrong = {mark for mark in set(marks) if mark not in MARKS}
    if wrong:
        for row, mark in zip(rows, marks, strict=True):
            if mark in wrong:
                _add(faults, file, row, "mark", mark, one_of(MARKS))
    return Readings(
        seq=_numbers(columns["seq"], rows, "seq", int, (file, faults)) if has_seq else tuple(range(1, len(rows) + 1)),
        cycle=_numbers(columns["cycle"], rows, "cycle", int, (file, faults)),
        element=_texts(columns["element"]),
        reading_s=_numbers(columns["reading_s"], rows, "reading_s", float, (file, faults)),
        rating=_numbers(columns["rating"], rows, "rating", float, (file, faults)),
        mark=marks,
        note=_texts(columns["note"]),
    )


def _stripped(cells: Iterable[str]) -> Iterable[str]:
    """Cells without blanks around them; few are unlike one another, so each is looked at once."""
    once = {cell: cell.strip() for cell in set(cells)}
    return map(once.__getitem__, cells)


def _texts(cells: Sequence[str]) -> tuple[str, ...]:
    once = {cell: unguarded(cell) for cell in set(cells)}
    return tuple(map(once.__getitem__, cells))


def _add(faults: Faults, file: str, row: int, column: str, found: Any, expected: str) -> None:
    faults.add(FaultSpot(file=file, row=row).fault(found=shown(found), expected=expected, column=column))


def _numbers(
    cells: Sequence[str], rows: list[int], name: str, kind: Callable[[str], float], to: tuple[str, Faults]
) -> Any:
    """A column of numbers; an empty cell is not-a-number where the column is not one of whole numbers."""
    file, faults = to
    lowest = 0 if name != "rating" else math.ulp(0.0)
    plainly = "".join(cells)
    try:
        if "_" in plainly or not plainly.isascii():
            raise ValueError("numbers of a program")
        made = tuple(map(kind, cells)) if kind is int else tuple(float(c) if c else math.nan for c in cells)
        empty = cells.count("")
        if sum(v != v for v in made) == (0 if kind is int else empty) and not _outside(made, lowest):
            return made
    except (ValueError, OverflowError):
        pass
    expected = "a whole number" if kind is int else "seconds" if name == "reading_s" else "a rating above 0"
    return tuple(_number(cell, row, (name, kind, lowest, expected), to) for cell, row in zip(cells, rows, strict=True))


def _outside(values: tuple[float, ...], lowest: float) -> bool:
    """Whether any of them is below the lowest or absurdly large; not-a-number is neither."""
    known = [v for v in values if v == v]
    return bool(known) and not (min(known) >= lowest and max(known) <= LARGEST)


def _number(cell: str, row: int, how: tuple[str, Callable[[str], float], float, str], to: tuple[str, Faults]) -> float:
    """One cell of a column that has a fault in it."""
    name, kind, lowest, expected = how
    if cell.strip() == "" and kind is float:
        return math.nan
    try:
        value = whole(cell) if kind is int else number(cell)
        if lowest <= value <= LARGEST:
            return value
        expected += f" up to {LARGEST:g}" if value > LARGEST else ", not below 0" if value < 0 else ""
    except (ValueError, OverflowError):
        expected += " with a decimal point" if "," in cell and kind is float else ""
    _add(to[1], to[0], row, name, cell, expected)
    return 0 if kind is int else math.nan


def readings_text(readings: Readings) -> str:
    """Readings as CSV; seq is left out where it merely counts the rows, rating, mark and note where nothing is."""
    blank = {"rating": all(v != v for v in readings.rating)}
    blank["seq"] = readings.seq == tuple(range(1, len(readings) + 1))
    blank |= {"mark": not any(readings.mark), "note": not any(readings.note)}
    names = [name for name in COLUMNS if not blank.get(name)]
    stream = io.StringIO(newline="")
    writer = csv.writer(stream, lineterminator="\n", quoting=csv.QUOTE_MINIMAL)
    writer.writerow(names)
    writer.writerows(zip(*(_cells(name, getattr(readings, name)) for name in names), strict=True))
    return stream.getvalue()


def _cells(name: str, values: tuple[Any, ...]) -> list[Any]:
    if name in ("reading_s", "rating"):
        return ["" if v != v else v for v in values]
    if name in ("element", "note"):
        once = {value: guarded(value) for value in set(values)}
        return [once[value] for value in values]
    return list(values)
