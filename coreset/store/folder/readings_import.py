"""Readings in somebody's own table -> Readings: columns by the user's names, clocks in the form they were written."""

from __future__ import annotations

import csv
import io
import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Literal, get_args

from coreset.case import Reading, Readings
from coreset.case.study import Mark
from coreset.errors import Fault, StudyError
from coreset.number_text import number, whole
from coreset.store.folder.tables import guarded

Form = Literal["s", "min", "cmin", "clock"]
FORMS = get_args(Form)
"""Seconds, minutes, hundredths of a minute, or h:mm:ss.fff."""
SECONDS = {"s": 1.0, "min": 60.0, "cmin": 0.6}
FIELDS = ("element", "reading_s", "cycle", "rating", "mark", "note", "seq")
NEEDED = ("element", "reading_s")
CLOCK = re.compile(r"^(?:(?:(\d+):)?([0-5]?\d|\d+):)?(\d+(?:\.\d+)?)$")
MAX_MEGABYTES = 10
"""Size of one file at most: 200,000 rows take some 8 MB."""
MAX_CELLS = 2_000_000
ROWS = 200_000
"""Rows of one file at most."""
FAULTS = 50
"""Faults told at once."""
WORDS = {
    "element": ("element", "step", "task", "activity", "what"),
    "reading_s": ("reading", "clock", "time", "watch"),
    "cycle": ("cycle", "mold", "mould", "round", "nr", "no"),
    "rating": ("rating", "pace", "performance"),
    "mark": ("mark", "flag", "code"),
    "note": ("note", "remark", "comment"),
    "seq": ("seq", "line", "row"),
}
"""Words by which a column is recognised when it is first met; the user's own choice is remembered instead."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingsTable:
    """A file as a table of texts: its heads and rows, each with the row it stands in."""

    file: str
    heads: tuple[str, ...]
    rows: tuple[tuple[int, tuple[str, ...]], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Reader:
    """How a table is to be read: column by field, form of the clock, decimal comma, words that mean a mark."""

    columns: Mapping[str, str]
    form: Form = "s"
    comma: bool = False
    marks: Mapping[str, str] = field(default_factory=dict)


def refuse_size(name: str, size: int) -> None:
    """Refuse a file of more bytes than readings take, before it is read.

    Raises
    ------
    StudyError
        If it has more than `MAX_MEGABYTES`.
    """
    if size > MAX_MEGABYTES * 1e6:
        found, expected = f"{size / 1e6:.0f} MB", f"at most {MAX_MEGABYTES} MB: the readings of one study"
        raise StudyError([Fault(file=name, found=found, expected=expected)])


def guess(heads: Sequence[str]) -> dict[str, str]:
    """Column by field as far as their names tell.

    Examples
    --------
    >>> guess(["Cycle no", "Step", "Watch [cmin]", "Remark"])
    {'element': 'Step', 'reading_s': 'Watch [cmin]', 'cycle': 'Cycle no', 'note': 'Remark'}
    """
    found: dict[str, str] = {}
    for name in FIELDS:
        free = [head for head in heads if head and head not in found.values()]
        for word in WORDS[name]:
            match = next((head for head in free if re.search(rf"(?<![a-z]){word}", head.lower())), None)
            if match is not None:
                found[name] = match
                break
    return found


def clock_seconds(text: str, *, form: Form, comma: bool = False) -> float:
    """Seconds of a clock as written; NaN for an empty cell.

    Parameters
    ----------
    text : str
        The cell.
    form : Form
        "clock" for h:m:s, else the unit of a plain number.
    comma : bool
        Whether a comma is the decimal sign, and a point one of thousands.

    Raises
    ------
    ValueError
        If it is not written in that form.

    Examples
    --------
    >>> clock_seconds("1:02:03.250", form="clock"), clock_seconds("1,5", form="min", comma=True)
    (3723.25, 90.0)
    >>> clock_seconds("212", form="cmin")
    127.2
    """
    written = text.strip().replace(" ", "")
    if not written:
        return math.nan
    if comma:
        written = written.replace(".", "").replace(",", ".")
    if form != "clock":
        value = number(written)
        if not math.isfinite(value) or value < 0:
            raise ValueError(written)
        return _scaled(value, form)
    match = CLOCK.match(written)
    if match is None:
        raise ValueError(written)
    hours, minutes, seconds = match.groups()
    if minutes is not None and float(seconds) >= 60:
        raise ValueError(written)
    return int(hours or 0) * 3600 + int(minutes or 0) * 60 + float(seconds)


def _scaled(value: float, form: Form) -> float:
    """Seconds to the digit that a hand calculation gives: 0.6 is not exact in binary, so nine decimals are kept."""
    return value if form == "s" else round(value * SECONDS[form], 9)


def readings_from(table: ReadingsTable, reader: Reader) -> Readings:
    """Readings of the table, in its order.

    Raises
    ------
    StudyError
        With every fault: the row, the column, what was found and what was expected.
    """
    missing = [name for name in NEEDED if reader.columns.get(name) not in table.heads]
    if missing:
        raise StudyError(
            Fault(file=table.file, column=name, found="no column for it", expected="one of the file's columns")
            for name in missing
        )
    at = {name: table.heads.index(head) for name, head in reader.columns.items() if head in table.heads}
    faults: list[Fault] = []
    rows = [
        _reading(table.file, number, {n: cells[i] for n, i in at.items()}, reader, faults)
        for number, cells in table.rows
    ]
    if faults:
        raise StudyError(faults[:FAULTS])
    return Readings.of(_numbered(rows, counted="cycle" in at, numbered="seq" in at))


def _reading(file: str, row: int, cells: dict[str, str], reader: Reader, faults: list[Fault]) -> Reading:
    def number(name: str, expected: str, read: Any) -> Any:
        try:
            return read(cells.get(name, ""))
        except ValueError:
            faults.append(Fault(file=file, row=row, column=reader.columns[name], found=cells[name], expected=expected))
            return math.nan

    mark = _mark(file, row, cells.get("mark", ""), reader, faults)
    if not cells["element"].strip():
        faults.append(
            Fault(file=file, row=row, column=reader.columns["element"], found="nothing", expected="an element")
        )
    return Reading(
        seq=number("seq", "a whole number", _whole),
        cycle=number("cycle", "a whole number, not below 0", _cycle),
        element=cells["element"].strip(),
        reading_s=number(
            "reading_s", EXPECTED[reader.form], lambda text: clock_seconds(text, form=reader.form, comma=reader.comma)
        ),
        rating=number("rating", "a rating above 0, or an empty cell", lambda text: rating_of(text, comma=reader.comma)),
        mark=mark,
        note=cells.get("note", ""),
    )


EXPECTED = {
    "s": "seconds",
    "min": "minutes",
    "cmin": "hundredths of a minute",
    "clock": "a clock as h:mm:ss.fff",
}


def _whole(text: str) -> int:
    return whole(text) if text.strip() else 0


def _cycle(text: str) -> int:
    """Number of a cycle, 0 for an empty cell."""
    value = _whole(text)
    if value < 0:
        raise ValueError(text)
    return value


def rating_of(text: str, *, comma: bool = False) -> float:
    """A rating as written, with or without a per cent sign; NaN for an empty cell.

    Raises
    ------
    ValueError
        If it is no number above 0.

    Examples
    --------
    >>> rating_of("95 %"), rating_of("97,5", comma=True)
    (95.0, 97.5)
    """
    value = clock_seconds(text.replace("%", ""), form="s", comma=comma)
    if value == 0:
        raise ValueError(text)
    return value


def _mark(file: str, row: int, text: str, reader: Reader, faults: list[Fault]) -> str:
    word = reader.marks.get(text.strip(), text.strip().lower())
    if word not in get_args(Mark):
        expected = ", ".join(filter(None, get_args(Mark)))
        faults.append(Fault(file=file, row=row, column=reader.columns["mark"], found=text, expected=expected))
        return ""
    return word


def _numbered(rows: list[Reading], *, counted: bool, numbered: bool) -> list[Reading]:
    """Rows with a sequence, and cycles counted where none are given: an element that comes again begins one."""
    seen: set[str] = set()
    cycle = 1
    result = []
    for seq, row in enumerate(rows, start=1):
        if not counted and row.mark != "foreign":
            if row.element in seen:
                seen, cycle = set(), cycle + 1
            seen.add(row.element)
        result.append(row._replace(seq=row.seq if numbered else seq, cycle=row.cycle if counted else cycle))
    return result


def as_xlsx(readings: Readings) -> bytes:
    """Readings as a workbook: every digit of a number, every text as text."""
    from openpyxl import Workbook

    book = Workbook()
    sheet = book.active
    sheet.title = "readings"
    sheet.append(Reading._fields)
    for reading in readings:
        sheet.append(
            ["" if value != value else repr(value) if isinstance(value, float) else value for value in reading]
        )
        for cell, value in zip(sheet[sheet.max_row], reading, strict=True):
            cell.data_type = "s" if isinstance(value, str) or value != value else "n"
    buffer = io.BytesIO()
    book.save(buffer)
    return buffer.getvalue()


def as_csv(readings: Readings) -> str:
    """Readings as comma-separated text, every column and digit there, and no text that is a formula."""
    buffer = io.StringIO()
    writer = csv.writer(buffer, lineterminator="\n")
    writer.writerow(Reading._fields)
    writer.writerows([[_written(value) for value in reading] for reading in readings])
    return buffer.getvalue()


def _written(value: Any) -> Any:
    if isinstance(value, str):
        return guarded(value)
    return "" if value != value else value
