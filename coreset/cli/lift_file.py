"""A flat table of lifts, CSV or XLSX: read with every fault of the file at once, and written with the answers."""

from __future__ import annotations

import csv
from collections.abc import Iterator, Mapping, Sequence
from contextlib import closing
from dataclasses import fields
from itertools import zip_longest
from math import isfinite
from pathlib import Path
from typing import Any
from zipfile import BadZipFile

from coreset.cli.watch import Track, untracked
from coreset.errors import Fault, StudyError
from coreset.lifting.columns import COLUMNS, DESTINATION, MEASURED, SITUATIONS
from coreset.lifting.constants import COUPLINGS, DURATIONS, UNIT_SETS
from coreset.lifting.lift_table import Answer, governing, has_destination
from coreset.lifting.scope import slips
from coreset.number_text import number

CHOICES = {"units": UNIT_SETS, "duration": DURATIONS, "coupling": COUPLINGS}
YES = ("1", "yes", "true", "y")
NO = ("", "0", "no", "false", "n")
FIRST_ROW = 2
NOTHING = "nothing"
KINDS = (".csv", ".xlsx")
ANSWERS = tuple(field.name for field in fields(Answer))
"""Columns of a table of answers, which may be read again; they are worked out anew."""
KNOWN = ("task", "note", "core_depth", *COLUMNS, *DESTINATION, *SITUATIONS, *ANSWERS)
EXPECTED = {
    "mass_zero": ("mass", "a load above zero"),
    "mass_high": ("mass", "at most 150 kg (330 lb); pounds or grams entered as kilograms, or a lost decimal point?"),
    "reach_low": ("horizontal", "at least 10 cm (4 in); inches entered as centimetres, or a lost digit?"),
    "reach_high": ("horizontal", "at most 200 cm (79 in); millimetres entered as centimetres?"),
    "height_negative": ("vertical", "zero or more"),
    "height_high": ("vertical", "at most 300 cm (118 in); millimetres entered as centimetres?"),
    "frequency_negative": ("frequency", "zero or more"),
    "frequency_high": ("frequency", "at most 60 lifts a minute; lifts an hour entered?"),
    "angle_negative": ("angle", "zero or more; a turn to either side counts as positive"),
    "angle_high": ("angle", "at most 180 degrees; the smaller angle counts"),
    "depth_low": ("core_depth", "a depth above zero"),
    "depth_high": ("core_depth", "at most 100 cm (40 in); millimetres entered as centimetres?"),
}


def _csv_rows(path: Path) -> Iterator[list[str]]:
    with path.open(encoding="utf-8-sig", newline="") as file:
        yield from csv.reader(file)


def _xlsx_rows(path: Path) -> Iterator[list[str]]:
    from openpyxl import load_workbook

    with closing(load_workbook(path, read_only=True, data_only=True)) as book:
        for row in book.worksheets[0].iter_rows(values_only=True):
            yield ["" if cell is None else str(cell) for cell in row]


def _cells(path: Path, track: Track) -> list[list[str]]:
    kind = path.suffix.lower()
    if kind not in KINDS or not path.is_file():
        raise StudyError([Fault(file=str(path), found="no such table", expected="an existing file .csv or .xlsx")])
    try:
        return list(track(_csv_rows(path) if kind == ".csv" else _xlsx_rows(path), "read_rows"))
    except (UnicodeDecodeError, OSError, KeyError, ValueError, csv.Error, BadZipFile) as error:
        raise StudyError([Fault(file=str(path), found=f"unreadable ({error})", expected="a table in UTF-8")]) from None


def read_lifts(path: Path, track: Track = untracked) -> list[dict[str, Any]]:
    """Rows of the table, each with the columns of `flat.COLUMNS` as numbers and words; `track` shows how far it is.

    Raises
    ------
    StudyError
        With every fault of the file: a column missing, unknown or there twice, a cell that is no number, a value that
        cannot be.
    """
    cells = _cells(path, track)
    header = [name.strip().lower() for name in cells[0]] if cells else []
    if wrong := wrong_columns(header):
        raise StudyError(Fault(file=path.name, row=1, **fault) for fault in wrong)
    rows, faults = [], []
    for place, cell in enumerate(track(cells[1:], "check_rows"), start=FIRST_ROW):
        if not any(text.strip() for text in cell):
            continue
        padded = [*cell, *[""] * (len(header) - len(cell))]
        row, wrong = _row(dict(zip(header, padded, strict=False)))
        if nameless := [text for name, text in zip_longest(header, padded, fillvalue="") if not name and text.strip()]:
            wrong.append({"found": repr(nameless[0]), "expected": "a name over its column, or an empty cell"})
        faults += [Fault(file=path.name, row=place, **fault) for fault in wrong]
        rows.append(row)
    if faults:
        raise StudyError(faults)
    if not rows:
        raise StudyError([Fault(file=path.name, found="no rows", expected="a row for each lift")])
    return rows


def wrong_columns(header: Sequence[str]) -> list[dict[str, str]]:
    """Columns that are missing, unknown or there twice, each with what was expected."""
    missing = [{"column": c, "found": NOTHING, "expected": c} for c in COLUMNS if c not in header]
    named = [name for name in header if name]
    unknown = [name for name in dict.fromkeys(named) if name not in KNOWN]
    twice = [name for name in dict.fromkeys(named) if named.count(name) > 1]
    faults = missing + [{"column": c, "found": "this name twice", "expected": "one column of that name"} for c in twice]
    if unknown:
        from coreset.store.folder.faults import known_name  # only then: it takes long to load

        faults += [{"column": c, "found": "an unknown name", "expected": known_name(c, KNOWN)} for c in unknown]
    return faults


def _row(cell: Mapping[str, str]) -> tuple[dict[str, Any], list[dict[str, str]]]:
    row: dict[str, Any] = {"task": cell.get("task", "").strip()}
    faults = []
    for name, choices in CHOICES.items():
        row[name] = cell[name].strip().lower()
        if row[name] not in choices:
            faults.append({"column": name, "found": repr(cell[name]), "expected": f"one of {', '.join(choices)}"})
    both = any(cell.get(name, "").strip() for name in DESTINATION)
    row |= dict.fromkeys(DESTINATION)
    for name in MEASURED + (DESTINATION if both else ()):
        if name == "travel" and both and not cell[name].strip():
            continue
        try:
            row[name] = number(cell.get(name, ""))
        except ValueError:
            faults.append({"column": name, "found": repr(cell.get(name, "")), "expected": "a number"})
    if both and "travel" not in row and not faults:
        row["travel"] = abs(row["vertical_destination"] - row["vertical"])
    for name in SITUATIONS:
        answer = cell.get(name, "").strip().lower()
        row[name] = answer in YES
        if answer not in YES + NO:
            faults.append({"column": name, "found": repr(cell[name]), "expected": "yes, no or empty"})
    return row, faults or faults_of(row)


def faults_of(row: Mapping[str, Any]) -> list[dict[str, str]]:
    """Values of one row that cannot be, each with what was expected and the likely slip."""
    faults = []
    for end in ("origin", "destination") if has_destination(row) else ("origin",):
        at = governing(row, end)
        found = slips(
            units=str(row["units"]),
            mass=row["mass"],
            horizontal=at["horizontal"],
            vertical=at["vertical"],
            frequency_per_min=row["frequency"],
            angle_deg=at["angle"],
            core_depth=row.get("core_depth"),
        )
        for name, expected in (EXPECTED[code] for code in found):
            column = f"{name}_destination" if end == "destination" and name in at else name
            faults.append({"column": column, "found": f"{row[column]:g}", "expected": expected})
    for name in MEASURED + (DESTINATION if has_destination(row) else ()):
        if not isfinite(row[name]):
            faults.append({"column": name, "found": f"{row[name]:g}", "expected": "a finite number"})
    least = 0.0 if not has_destination(row) else abs(row["vertical_destination"] - row["vertical"])
    if row["travel"] < least * (1 - 1e-9):
        expected = f"at least {least:g}, the difference of the two heights" if least else "zero or more"
        faults.append({"column": "travel", "found": f"{row['travel']:g}", "expected": expected})
    return [fault for place, fault in enumerate(faults) if fault not in faults[:place]]


def write_result(path: Path, rows: Sequence[Mapping[str, Any]], track: Track = untracked) -> None:
    """Rows with their answers as a table, CSV or XLSX by the name of the file; `track` shows how far it is.

    Parameters
    ----------
    path : Path
        The file, .csv or .xlsx; replaced if it is there.
    rows : sequence of mapping
        Lifts with their answers, by column.
    track : Track
        Shows how far it is.

    Raises
    ------
    StudyError
        If the name is of another kind or the place cannot be written.
    """
    if path.suffix.lower() not in KINDS:
        raise StudyError([Fault(file=str(path), found="another kind of file", expected="a file .csv or .xlsx")])
    try:
        _write(path, rows, track)
    except OSError as error:
        raise StudyError([Fault(file=str(path), found=str(error.strerror), expected="a place to write")]) from None


def _write(path: Path, rows: Sequence[Mapping[str, Any]], track: Track) -> None:
    header = list(rows[0])
    if path.suffix.lower() == ".xlsx":
        from openpyxl import Workbook

        book = Workbook(write_only=True)
        sheet = book.create_sheet("lifts")
        sheet.append(header)
        for row in track(rows, "write_rows"):
            sheet.append([_text(row[name]) for name in header])
        book.save(path)
        return
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(header)
        writer.writerows([_text(row[name]) for name in header] for row in track(rows, "write_rows"))


def _text(value: object) -> object:
    """A cell: text that a spreadsheet would run as a formula is set behind an apostrophe."""
    return f"'{value}" if isinstance(value, str) and value[:1] in "=+-@" and value else value
