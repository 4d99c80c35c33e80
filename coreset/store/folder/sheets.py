"""A workbook somebody sends -> sheets of plain cells. In: bytes. Out: rows of values, or what makes it unfit."""

from __future__ import annotations

import io
import lzma
import struct
import zipfile
import zlib
from collections.abc import Callable, Iterator, Sequence
from functools import cache, partial
from typing import Any
from xml.etree.ElementTree import ParseError

from coreset.errors import Fault, StudyError
from coreset.store.folder.disk import ODD
from coreset.store.folder.faults import Faults, FaultSpot, shown

MAX_BYTES = 30_000_000
MAX_UNPACKED_BYTES = 300_000_000
MAX_RATIO = 200
"""Unpacked over packed size of one part of an honest workbook: a sheet of one number repeated gives about 100."""
MAX_PARTS = 2_000
MAX_ROWS = 1_048_576
MAX_COLUMNS = 1_000
MAX_CELLS = 20_000_000
UNZIP_ERRORS = (
    zipfile.BadZipFile, zlib.error, lzma.LZMAError, OSError, EOFError, ValueError, LookupError, OverflowError,
    NotImplementedError, RuntimeError, struct.error,
)  # fmt: skip
READ_ERRORS = (*UNZIP_ERRORS, ParseError, TypeError, AttributeError, AssertionError, SyntaxError, MemoryError)
"""What the library may trip over in a workbook that no spreadsheet program wrote; found by fuzzing."""
Sheet = list[tuple[int, list[Any]]]


def refused(file: str, found: str, expected: str) -> StudyError:
    """One fault of a workbook as a whole.

    Parameters
    ----------
    file : str
        The workbook.
    found, expected : str
        What it is, and what it should be.
    """
    return StudyError([Fault(file=file, found=found, expected=expected)])


def sheets(content: bytes, *, file: str, max_cells: int = MAX_CELLS, stored_values: bool = False) -> dict[str, Sheet]:
    """Every sheet of a workbook: rows with their numbers, cells as text, number, yes or no, date or None.

    Parameters
    ----------
    content : bytes
        The file.
    file : str
        What to call it in a fault.
    max_cells : int
        Cells of all sheets at most.
    stored_values : bool
        Take the value that the spreadsheet program stored for a formula, and a number shown as a percentage in per
        cent; a formula without a stored value is a fault.

    Raises
    ------
    StudyError
        If it is no workbook, has macros or links, unpacks to too much, or has a formula, an error or a control
        character in a cell: a formula's value may be stale, so values are asked for.
    """
    _unpacks_safely(content, file)
    from openpyxl import load_workbook

    faults, found, cells = Faults(), {}, 0
    try:
        book = load_workbook(io.BytesIO(content), read_only=True, data_only=False, keep_links=False)
        stored = cache(lambda: _stored(content))
        for sheet in book.worksheets:
            rows: Sheet = []
            sheet.reset_dimensions()
            for number, row in enumerate(sheet.iter_rows(max_row=MAX_ROWS), start=1):
                cells += len(row)
                if cells > max_cells or len(row) > MAX_COLUMNS:
                    raise refused(file, "too many cells", f"at most {MAX_COLUMNS} columns and {max_cells} cells")
                spot = FaultSpot(file=f"{file}, sheet {sheet.title}", row=number)
                values = partial(_row_of, stored, sheet.title, number) if stored_values else None
                rows.append((number, list(_cells(row, spot, faults, stored=values))))
            found[sheet.title] = [(number, row) for number, row in rows if any(cell is not None for cell in row)]
    except StudyError:
        raise
    except READ_ERRORS as error:
        raise refused(file, f"a damaged workbook ({type(error).__name__})", "an XLSX workbook") from error
    faults.raise_any()
    return found


def _unpacks_safely(content: bytes, file: str) -> None:
    """Refuse what is no zip, is too large, is a bomb, or carries macros, links or entities."""
    if len(content) > MAX_BYTES:
        raise refused(file, f"{len(content)} bytes", f"at most {MAX_BYTES}")
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as packed:
            parts = packed.infolist()
            _parts_fit(parts, file)
            total = 0
            for part in parts:
                total += _read(packed, part, file)
                if total > MAX_UNPACKED_BYTES:
                    raise refused(file, "a workbook that unpacks to too much", f"at most {MAX_UNPACKED_BYTES} bytes")
    except StudyError:
        raise
    except UNZIP_ERRORS as error:
        raise refused(file, "no XLSX workbook", "an XLSX workbook, saved without a password") from error


def _parts_fit(parts: list[zipfile.ZipInfo], file: str) -> None:
    """What the table of contents alone tells."""
    names = [part.filename.lower() for part in parts]
    if len(parts) > MAX_PARTS or len(set(names)) != len(names):
        raise refused(file, f"{len(parts)} parts, or one twice", f"at most {MAX_PARTS} parts, each once")
    if any("vbaproject" in name or name.startswith("xl/macrosheets") for name in names):
        raise refused(file, "a workbook with macros", "a workbook without (.xlsx)")
    if any(name.startswith(("xl/externallinks", "xl/embeddings", "xl/activex")) for name in names):
        raise refused(file, "links or objects of other programs", "a workbook of plain cells")
    for part in parts:
        if part.file_size > MAX_RATIO * max(part.compress_size, 1_000):
            raise refused(file, "a workbook that unpacks to too much", f"at most {MAX_RATIO} times its size")


def _read(packed: zipfile.ZipFile, part: zipfile.ZipInfo, file: str) -> int:
    """Size of a part as it really unpacks; its head must declare no entities."""
    size, limit = 0, MAX_RATIO * max(part.compress_size, 1_000)
    with packed.open(part) as stream:
        while piece := stream.read(1 << 20):
            if part.filename.lower().endswith((".xml", ".rels")) and (b"<!DOCTYPE" in piece or b"<!ENTITY" in piece):
                raise refused(file, "a workbook that declares entities", "a workbook of plain cells")
            size += len(piece)
            if size > limit:
                raise refused(file, "a workbook that unpacks to too much", f"at most {MAX_RATIO} times its size")
    return size


def _stored(content: bytes) -> dict[str, dict[int, tuple[Any, ...]]]:
    """Values of the rows of every sheet, formulas by their stored values."""
    from openpyxl import load_workbook

    book = load_workbook(io.BytesIO(content), read_only=True, data_only=True, keep_links=False)
    found = {}
    for sheet in book.worksheets:
        sheet.reset_dimensions()
        found[sheet.title] = dict(enumerate(sheet.iter_rows(max_row=MAX_ROWS, values_only=True), start=1))
    return found


def _row_of(stored: Callable[[], dict[str, dict[int, tuple[Any, ...]]]], title: str, row: int) -> tuple[Any, ...]:
    return stored()[title].get(row, ())


def _cells(
    row: Any, spot: FaultSpot, faults: Faults, stored: Callable[[], Sequence[Any]] | None = None
) -> Iterator[Any]:
    """Values of one row; a formula without a stored value, an error value or a control character is a fault."""
    for place, cell in enumerate(row):
        value, kind = cell.value, getattr(cell, "data_type", "n")
        if kind == "f" and stored is not None:
            value = dict(enumerate(stored())).get(place)
            kind = "e" if isinstance(value, str) and value.startswith("#") else "f" if value is None else "n"
        if (
            stored is not None
            and isinstance(value, int | float)
            and value is not True
            and "%" in (getattr(cell, "number_format", "") or "")
        ):
            value = f"{round(100 * value, 9):g} %"
        if kind == "f" and stored is not None:
            expected = "a formula with its value: open the file in a spreadsheet program and save it"
            faults.add(spot.fault(found="a formula without a value", expected=expected, column=_letter(cell)))
        elif kind == "f":
            faults.add(spot.fault(found=f"a formula {shown(str(value))}", expected="its value", column=_letter(cell)))
        elif kind == "e":
            faults.add(spot.fault(found=shown(value), expected="a value", column=_letter(cell)))
        elif isinstance(value, str) and ODD.search(value):
            faults.add(spot.fault(found=shown(value), expected="printable text", column=_letter(cell)))
        else:
            yield value
            continue
        yield None


def _letter(cell: Any) -> str:
    from openpyxl.utils import get_column_letter

    return get_column_letter(cell.column)
