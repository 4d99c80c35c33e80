"""A CSV table -> records. In: text. Out: a row's cells by column, with faults for what stands in no known column."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from coreset.errors import Fault
from coreset.store.folder.faults import Faults, FaultSpot, shown
from coreset.store.folder.records import made, table_record
from coreset.store.folder.schema import Column, table_columns, unknown

DELIMITERS = (",", ";", "\t")
GUARDED = re.compile(r"'*[=+\-@\t\r]")
"""Text that a spreadsheet would take for a formula. It is written with an apostrophe before it, and read without."""
HEAD_LINE = re.compile(r"^(?!\"?#|\s*$).*$", re.MULTILINE)
MAX_COLUMNS = 1_000
DECIMAL_COMMA = re.compile(r"\s*-?\d*,\d+\s*")


@dataclass(slots=True, kw_only=True)
class Row:
    """One row as read: its spot, its fields, and the value made of them unless something was wrong."""

    spot: FaultSpot
    fields: dict[str, Any]
    value: Any = None

    def word(self, field: str) -> str | None:
        """A field that names something, as found; None if it is missing or no text."""
        found = self.fields.get(field)
        return found if isinstance(found, str) else None


def guarded(cell: str) -> str:
    """Text as it goes into a cell: never a formula.

    Examples
    --------
    >>> guarded("=1+1"), unguarded("'=1+1"), guarded("A12")
    ("'=1+1", '=1+1', 'A12')
    """
    return f"'{cell}" if GUARDED.match(cell) else cell


def unguarded(cell: str) -> str:
    """Text as it was before it went into a cell."""
    return cell[1:] if cell.startswith("'") and GUARDED.match(cell) else cell


def delimiter_of(text: str) -> str:
    """The sign between cells: that of the head, the first line that is no remark; a comma where it has none."""
    head = HEAD_LINE.search(text)
    first = head[0] if head else ""
    return max(DELIMITERS, key=lambda sign: (first.count(sign), sign == ","))


def raw_rows(text: str, file: str, faults: Faults) -> Iterator[tuple[int, list[str]]]:
    """Rows of a CSV text with their numbers as a spreadsheet counts them; blank rows, and remarks on top, left out.

    Parameters
    ----------
    text : str
        The file.
    file : str
        Its name.
    faults : Faults
        Takes the fault of a file that is no CSV, which ends the rows.
    """
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter_of(text), strict=True)
    row, on_top = 0, True
    try:
        for row, cells in enumerate(reader, start=1):
            on_top = on_top and (not any(cells) or cells[0].startswith("#"))
            if not on_top and any(cells):
                yield row, cells
    except csv.Error as error:
        faults.add(_unreadable(file, row + 1, str(error)))


def _unreadable(file: str, row: int, problem: str) -> Fault:
    """A row that is no CSV."""
    return FaultSpot(file=file, row=row).fault(
        found=f"a row that cannot be read ({problem})", expected="cells as in CSV"
    )


def header(first: list[str], spot: FaultSpot, faults: Faults) -> list[str] | None:
    """Names of the columns, or None with a fault if they cannot be told apart.

    Parameters
    ----------
    first : list of str
        Cells of the head.
    spot : FaultSpot
        Where it stands.
    faults : Faults
        Takes the faults.
    """
    names = [name.strip() for name in first]
    while names and not names[-1]:
        names.pop()
    if len(names) > MAX_COLUMNS:
        faults.add(spot.fault(found=f"{len(names)} columns", expected=f"at most {MAX_COLUMNS} columns"))
        return None
    twice = sorted({name for name in names if names.count(name) > 1})
    for name in twice:
        found = f"column {shown(name)} twice" if name else "a column without a name"
        faults.add(spot.fault(found=found, expected="each column once, with its name", column=name[:80] or None))
    return None if twice else names


def with_points(cells: list[str], rows: Sequence[int], spot: FaultSpot, faults: Faults) -> list[str]:
    """A column of a table with semicolons, its decimal commas turned into points.

    A point in the same column is then a fault: it might mean thousands.

    Parameters
    ----------
    cells : list of str
        The column.
    rows : sequence of int
        Row of each cell in the file.
    spot : FaultSpot
        The file.
    faults : Faults
        Takes the faults.
    """
    if not any(DECIMAL_COMMA.fullmatch(cell) for cell in cells):
        return cells
    for row, cell in zip(rows, cells, strict=True):
        if "." in cell:
            at = FaultSpot(file=spot.file, row=row)
            faults.add(at.fault(found=shown(cell), expected="one decimal sign in all the column"))
    return [cell.replace(",", ".", 1) for cell in cells]


def _cells_of(
    cells: list[str], names: list[str], known: Mapping[str, Column], spot: FaultSpot, faults: Faults
) -> dict[str, str]:
    """Cells of one row by column, empty ones left out; too many are a fault."""
    if any(cells[len(names) :]):
        faults.add(spot.fault(found=f"{len(cells)} cells", expected=f"{len(names)} cells, as in the head"))
    found = {}
    for name, cell in zip(names, cells, strict=False):
        item = known.get(name)
        if item and cell != "":
            is_text = item.form in ("text", "texts", "choice") or item.part == "source"
            found[name] = unguarded(cell) if is_text else cell.strip()
    return {name: cell for name, cell in found.items() if cell != ""}


def _is_number(item: Column | None) -> bool:
    return item is not None and item.form in ("number", "range") and item.part != "source"


def _points(rows: list[tuple[int, list[str]]], numeric: list[int], file: str, faults: Faults) -> None:
    """Decimal commas of every column of numbers turned into points, in place."""
    for i in numeric:
        having = [(row, cells) for row, cells in rows if i < len(cells)]
        made_cells = with_points(
            [cells[i] for _, cells in having], [row for row, _ in having], FaultSpot(file=file), faults
        )
        for (_, cells), cell in zip(having, made_cells, strict=True):
            cells[i] = cell


def read_table(kind: type, text: str, file: str, units: str, faults: Faults) -> list[Row]:
    """Every row of a CSV table of one kind of value.

    Parameters
    ----------
    kind : type
        Dataclass of a row.
    text : str
        The file.
    file : str
        Its name.
    units : str
        Of the case.
    faults : Faults
        Takes the faults; a row with one has no value.
    """
    rows = list(raw_rows(text, file, faults))
    top = FaultSpot(file=file, row=rows[0][0] if rows else 1)
    if not rows:
        faults.add(top.fault(found="an empty file", expected="a head with the names of the columns"))
        return []
    names, known = header(rows.pop(0)[1], top, faults), table_columns(kind, units)
    if names is None:
        return []
    for name in names:
        if name not in known:
            faults.add(unknown(name, kind, units, top, known=known))
    for name, item in known.items():
        if item.required and name not in names:
            faults.add(top.fault(found="no such column", expected=f"a column {name!r}", column=name))
    if delimiter_of(text) == ";":
        _points(rows, [i for i, name in enumerate(names) if _is_number(known.get(name))], file, faults)
    complete = all(name in names for name, item in known.items() if item.required)
    found = []
    for number, cells in rows:
        spot = FaultSpot(file=file, row=number)
        fields = table_record(kind, _cells_of(cells, names, known, spot, faults), units, spot, faults)
        found.append(Row(spot=spot, fields=fields, value=made(kind, fields, units, spot, faults) if complete else None))
    return found
