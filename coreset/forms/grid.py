"""A list of a case as a grid of texts, as a spreadsheet pastes it. In: a case, rows. Out: rows; a case, or faults."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from coreset.case import Case
from coreset.case.codes import codes_of
from coreset.errors import Fault, StudyError
from coreset.forms.editing import LISTS
from coreset.forms.fields import fields
from coreset.store.folder import build, plain
from coreset.store.folder.schema import table_columns
from coreset.store.folder.writer import table_text
from coreset.text import message, say

GRIDS = ("patterns", "cores", "lifts", "options", "counts", "scrap")
"""Lists whose rows hold numbers and texts alone."""
VOLUMES = ("molds_per_year", "runs_per_year", "extra_molds_per_year", "volume_growth", "starts_in_year")
"""What the volumes of a pattern are."""
FAULT = "fault"
"""Column of what is wrong in a row: no column of a file."""
MARK = "\N{WARNING SIGN} "
"""Stands before what is wrong in a cell; taken off again when the rows are saved."""
Rows = Sequence[Mapping[str, object]]


@dataclass(frozen=True, slots=True, kw_only=True)
class GridColumn:
    """One column: its name in the files, its label with unit, what it means, and which sets of columns show it."""

    name: str
    label: str
    help: str
    required: bool
    in_use: bool
    volume: bool


def grid_columns(case: Case, place: str) -> tuple[GridColumn, ...]:
    """Every column of a list; `in_use` are the required ones and those in which anything stands."""
    kind = LISTS[place].kind
    asked = {one.name: one for one in fields(kind, case.units, {}, case.currency)}
    used = next(csv.reader(io.StringIO(table_text(kind, getattr(case, place), case.units))), [])
    found = []
    for name, item in table_columns(kind, case.units).items():
        one = asked.get(item.field)
        if one is None:
            continue
        part = f", {say(f'front.range.{item.part}')}" if item.part not in ("", "likely") else ""
        found.append(
            GridColumn(
                name=name,
                label=f"{one.label}{part}",
                help=one.help,
                required=item.required,
                in_use=item.required or name in used,
                volume=item.field in (LISTS[place].named, *VOLUMES) and item.part != "source",
            )
        )
    return tuple(found)


def grid_rows(case: Case, place: str) -> list[dict[str, str]]:
    """Rows of a list as texts by column, every column there; one empty row where there is none."""
    kind = LISTS[place].kind
    names = list(table_columns(kind, case.units))
    text = table_text(kind, getattr(case, place), case.units)
    rows = [dict.fromkeys(names, "") | row for row in csv.DictReader(io.StringIO(text))]
    return rows or [dict.fromkeys(names, "")]


def grid_frame(rows: Rows, error: StudyError | None = None, labels: Mapping[str, str] | None = None) -> Any:
    """Rows as a table whose rows count from 1; after a fault with a first column that says it in its row.

    Parameters
    ----------
    rows : sequence of mapping
        Texts by column.
    error : StudyError, optional
        What was wrong when they were saved last.
    labels : mapping, optional
        Label of each column.
    """
    import pandas as pd  # not with the page: it is loaded once something is shown

    table = pd.DataFrame([dict(row) for row in rows], dtype=object)
    table.index = pd.RangeIndex(1, len(table) + 1)
    table = table.drop(columns=FAULT, errors="ignore")
    if error is not None:
        for row, name in cells_at_fault(error, table.columns):
            if row in table.index:
                table.loc[row, name] = f"{MARK}{_text(table.loc[row, name])}"
        table.insert(0, FAULT, [_told(error, at, labels or {}) for at in table.index])
    return table


def cells_at_fault(error: StudyError | None, columns: Iterable[str]) -> tuple[tuple[int, str], ...]:
    """Row, counted from 1, and column of each cell in which something is wrong, the first row first."""
    known = set(columns)
    places = ((fault.row, fault.column) for fault in (error.faults if error else ()))
    return tuple(sorted({(row, name) for row, name in places if row is not None and name in known}))


def _told(error: StudyError, row: int, labels: Mapping[str, str]) -> str:
    """Every fault of one row: column, what was expected."""
    found = [fault for fault in error.faults if fault.row == row]
    return "; ".join(f"{labels.get(one.column or '', one.column or '')}: {message(one.expected)}" for one in found)


def from_grid(base: Case, now: Case, place: str, rows: Rows) -> Case:
    """The case with the rows of a grid in the place of a list, checked as its files are.

    Parameters
    ----------
    base, now : Case
        As the grid showed it; as it is now.
    place : str
        A list of `GRIDS`.
    rows : sequence of mapping
        Texts by column; rows without any are left out. Numbers have a point or a comma as decimal sign.

    Returns
    -------
    Case

    Raises
    ------
    StudyError
        With every fault, its row counted as the grid shows it, and its column; or if somebody else changed the list.
    """
    if getattr(base, place) != getattr(now, place):
        raise StudyError([Fault(file=place, found="", expected=say("front.grid.changed"))])
    typed = [{name: cell for name, cell in row.items() if name != FAULT} for row in rows]
    filled = [(at, row) for at, row in enumerate(typed, start=1) if any(_text(cell) for cell in row.values())]
    names = [name for name in table_columns(LISTS[place].kind, now.units) if any(name in row for _, row in filled)]
    held = frozenset().union(*codes_of(now).values())
    try:
        return build(plain(now), held=held, texts={place: _csv(filled, names, place, now.units)})
    except StudyError as error:
        raise StudyError([_in_grid(fault, place, [at for at, _ in filled]) for fault in error.faults]) from error


def _text(cell: object) -> str:
    """What a cell holds, without the mark of a fault; NaN is no text."""
    return "" if cell is None or cell != cell else str(cell).removeprefix(MARK.strip()).strip()


def _csv(filled: Sequence[tuple[int, Mapping[str, object]]], names: list[str], place: str, units: str) -> str:
    """The rows as a table; one with semicolons where a number has a decimal comma."""
    known = table_columns(LISTS[place].kind, units)
    numbers = [name for name in names if known[name].form in ("number", "range") and known[name].part != "source"]
    commas = any("," in _text(row.get(name)) for _, row in filled for name in numbers)
    out = io.StringIO()
    writer = csv.writer(out, delimiter=";" if commas else ",", lineterminator="\n")
    writer.writerow(names or [name for name, item in known.items() if item.required])
    writer.writerows([_text(row.get(name)) for name in names] for _, row in filled)
    return out.getvalue()


def _in_grid(fault: Fault, place: str, at: list[int]) -> Fault:
    """A fault with the row that the grid shows; the head of the table is none of them."""
    if fault.file != place or fault.row is None:
        return fault
    row = fault.row - 2
    return replace(fault, row=at[row] if 0 <= row < len(at) else None)
