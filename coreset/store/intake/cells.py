"""The bytes of a sheet -> rows of texts: size first, then encoding, then the sign between columns."""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Sequence
from datetime import datetime, time, timedelta
from typing import Any

from coreset.errors import Fault, StudyError
from coreset.store.folder.disk import ODD
from coreset.store.folder.readings_import import MAX_CELLS, ROWS, refuse_size
from coreset.store.folder.sheets import refused, sheets
from coreset.store.folder.tables import unguarded
from coreset.store.intake.answers import IntakeAnswers

Row = tuple[int, tuple[str, ...]]
"""A row as a spreadsheet numbers it, and its cells."""
SIGNS = ";\t,|"
LOOKED_AT = 50
"""Lines from which the sign between columns is told."""


def grids(name: str, content: bytes, asked: IntakeAnswers) -> dict[str, list[Row]]:
    """Rows of every sheet that has any, by the sheet's name; a text file is one sheet without a name.

    Parameters
    ----------
    name : str
        Of the file; its ending tells a workbook.
    content : bytes
        The file.
    asked : IntakeAnswers
        Takes the question how a text is encoded.

    Raises
    ------
    StudyError
        If the file is too large, empty, or neither text nor a workbook.
    """
    refuse_size(name, len(content))
    if name.lower().endswith(".xlsx"):
        found = sheets(content, file=name, max_cells=MAX_CELLS, stored_values=True)
        all_rows = {title: [(n, tuple(map(cell_text, row))) for n, row in rows] for title, rows in found.items()}
    else:
        all_rows = {"": _text_rows(name, _decoded(name, content, asked))}
    filled = {title: [row for row in rows if any(c.strip() for c in row[1])] for title, rows in all_rows.items()}
    filled = {title: rows for title, rows in filled.items() if rows}
    if not filled:
        raise refused(name, "an empty file", "a head and readings")
    if (most := max(map(len, filled.values()))) > ROWS:
        raise refused(name, f"{most} rows", f"at most {ROWS}")
    return filled


def _decoded(name: str, content: bytes, asked: IntakeAnswers) -> str:
    """Text in UTF-8, UTF-16 or, told, the usual code page of Western Windows."""
    codec = codec_of(content)
    try:
        text = content.decode(codec)
    except UnicodeDecodeError:
        try:
            text, codec = content.decode("cp1252"), "cp1252"
        except UnicodeDecodeError as error:
            raise refused(name, "text of an unknown encoding", "text in UTF-8 (save as CSV UTF-8)") from error
    if codec != "utf-8-sig":
        asked.tell("encoding", encoding="UTF-16" if codec != "cp1252" else "Windows-1252")
    if odd := ODD.search(text):
        row = text.count("\n", 0, odd.start()) + 1
        raise StudyError([Fault(file=name, row=row, found=f"control character {odd[0]!r}", expected="printable text")])
    return text


def codec_of(content: bytes) -> str:
    """UTF-16 by its mark, or by its zeros in every second place; else UTF-8."""
    if content[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return "utf-16"
    start = content[:400]
    if len(start) >= 8 and start[1::2].count(0) > 0.7 * len(start[1::2]):
        return "utf-16-le"
    return "utf-16-be" if len(start) >= 8 and start[::2].count(0) > 0.7 * len(start[::2]) else "utf-8-sig"


def _text_rows(name: str, text: str) -> list[Row]:
    first, _, rest = text.partition("\n")
    stated = first.strip().lower().removeprefix("sep=") if first.lower().startswith("sep=") else ""
    sign = stated if len(stated) == 1 else first[4:5] if stated == "" and first.lower().startswith("sep=") else ""
    try:
        rows = list(csv.reader(io.StringIO(rest if sign else text), delimiter=sign or _sign(text)))
    except csv.Error as error:
        raise refused(name, str(error), "a table with one sign between its columns") from error
    return [(number, tuple(map(unguarded, row))) for number, row in enumerate(rows, start=2 if sign else 1)]


def _sign(text: str) -> str:
    """The sign that splits most lines into equally many columns."""
    lines = [line for line in text[:100_000].split("\n")[:LOOKED_AT] if line.strip()]

    def agreeing(sign: str) -> int:
        counts = Counter(line.count(sign) for line in lines if sign in line)
        return max((count * lines_of for count, lines_of in counts.items()), default=0)

    return max(SIGNS, key=agreeing)


def cell_text(value: Any) -> str:
    """A cell of a workbook as it would be typed; of a date with a time the time of day."""
    if value is None:
        return ""
    if isinstance(value, timedelta):
        seconds = value.total_seconds()
        return f"{int(seconds // 3600)}:{int(seconds // 60 % 60):02d}:{seconds % 60:09.6f}"
    if isinstance(value, datetime | time):
        return f"{value.hour}:{value.minute:02d}:{value.second:02d}.{value.microsecond:06d}"
    if isinstance(value, float):
        return str(int(value)) if value.is_integer() else repr(value)
    return str(value)


def column_of(rows: Sequence[Row], place: int) -> list[str]:
    """Cells of one column, blanks around them taken off."""
    return [cells[place].strip() if place < len(cells) else "" for _, cells in rows]
