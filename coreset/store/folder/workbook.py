"""A case in a workbook -> Case. In: an XLSX file, one sheet for each table. Out: the case, or every fault of it."""

from __future__ import annotations

import datetime
import json
import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from coreset.case import UNIT_SETS, AllowanceLine, Case, Correction, Element, Step, Stop, Study
from coreset.store.folder.faults import Faults, FaultSpot, known_name, one_of, shown
from coreset.store.folder.parts import TABLES
from coreset.store.folder.plain import READINGS_COLUMNS, build
from coreset.store.folder.records import BOOLS
from coreset.store.folder.schema import RANGE_PARTS, Column, columns, table_columns, unknown
from coreset.store.folder.sheets import MAX_BYTES, Sheet, refused, sheets
from coreset.store.folder.tables import unguarded

BELOW = {"stops": Stop, "allowances": AllowanceLine, "steps": Step, "elements": Element, "corrections": Correction}
"""Sheets whose rows belong to something named in their first column: a line, a set, a method, a study."""
OWNER = {"stops": "", "allowances": "name", "steps": "method", "elements": "study", "corrections": "study"}
KEY_PART = re.compile(r'"(?:[^"\\]|\\.)*"|[^".]+')
KEY = re.compile(rf"(?:{KEY_PART.pattern})(?:\.(?:{KEY_PART.pattern}))*")
"""A key of the sheet `case`: names with points between them; a name that has a point or a blank stands in quotes."""
KEY_HEADS = ("key", "value", "low", "high", "source")
KNOWN = ("case", *TABLES, "studies", "readings", *BELOW)


def read_workbook(path: str | Path) -> Case:
    """The case that stands in a workbook.

    A sheet `case` has the columns key, value, low, high, source, its keys written `title` or `money.setter_price`.
    The sheets of `TABLES`, such as `patterns` and `cores`, and `studies` are as the files of a folder; `stops`,
    `steps` (first column: method), `allowances` (name), `elements`, `readings` and `corrections` (study) hold what
    a folder has in its TOML files and its times/. Settings of a method or an allowance set are keys of `case`, such
    as `method."core setter".mechanised` or `allowances."by hand".basis`. A list in a cell has semicolons between its
    words.

    Raises
    ------
    StudyError
        With every fault: sheet, row, column, what was found, what was expected.
    """
    source = Path(path)
    try:
        if source.stat().st_size > MAX_BYTES:
            raise refused(source.name, f"{source.stat().st_size} bytes", f"at most {MAX_BYTES}")
        content = source.read_bytes()
    except (OSError, ValueError) as error:
        if isinstance(error, OSError):
            raise refused(source.name[:200], "no readable file", "an XLSX workbook") from error
        raise
    return case_in(content, file=source.name)


def case_in(content: bytes, *, file: str) -> Case:
    """The case in the bytes of a workbook; see `read_workbook`."""
    found, faults = sheets(content, file=file), Faults()
    for name in found:
        if name not in KNOWN:
            faults.add(FaultSpot(file=f"{file}, sheet {name}").fault(found="a sheet", expected=known_name(name, KNOWN)))
    tree = _keys(found.get("case", []), FaultSpot(file=f"{file}, sheet case"), faults)
    units: Any = tree.get("units")
    if units not in UNIT_SETS:
        spot = FaultSpot(file=f"{file}, sheet case")
        faults.add(spot.fault(found=shown(units), expected=one_of(UNIT_SETS), column="units"))
    faults.raise_any()
    for name, kind in TABLES.items():
        tree[name] = [parts for _, parts in _rows(kind, found, name, (file, units), faults)]
    studies = [parts for _, parts in _rows(Study, found, "studies", (file, units), faults)]
    _below(tree, studies, found, (file, units), faults)
    tree["studies"] = studies
    _readings(studies, found.get("readings", []), FaultSpot(file=f"{file}, sheet readings"), faults)
    faults.raise_any()
    return build(tree, file=file)


def _keys(sheet: Sheet, spot: FaultSpot, faults: Faults) -> dict[str, Any]:
    """The sheet `case` as a tree."""
    tree: dict[str, Any] = {}
    heads = [str(head or "") for head in sheet[0][1]] if sheet else []
    if heads[:2] != ["key", "value"] or not set(filter(None, heads)) <= set(KEY_HEADS):
        faults.add(spot.fault(found="no such head", expected=f"a sheet 'case' with the columns {', '.join(KEY_HEADS)}"))
        return tree
    for row, cells in sheet[1:]:
        parts = dict(zip(heads, cells, strict=False))
        key, value = str(parts.pop("key") or ""), _plain(parts.get("value"))
        if parts.get("low") is not None or parts.get("high") is not None or parts.get("source") is not None:
            value = {"likely": value} | {k: _plain(parts[k]) for k in RANGE_PARTS if parts.get(k) is not None}
        *path, last = (_name(part) for part in KEY_PART.findall(key)) if KEY.fullmatch(key) else ("",)
        table = tree
        for name in path:
            table = table.setdefault(name, {}) if isinstance(table, dict) else None
        if not isinstance(table, dict) or not last or last in table:
            expected = "each key once, as title or money.setter_price"
            faults.add(FaultSpot(file=spot.file, row=row).fault(found=shown(key), expected=expected, column="key"))
        elif value is not None:
            table[last] = value
    return tree


def _name(part: str) -> str:
    """One name of a key; in quotes as in JSON."""
    try:
        return str(json.loads(part)) if part.startswith('"') else part
    except ValueError:
        return ""


def _plain(value: Any) -> Any:
    """A cell as JSON can hold it; a date or a time as ISO text, which no number is taken for."""
    if isinstance(value, datetime.datetime) and value.time() == datetime.time(0):
        return value.date().isoformat()
    if isinstance(value, datetime.date | datetime.time):
        return value.isoformat()
    if isinstance(value, datetime.timedelta):
        return str(value)
    return unguarded(value) if isinstance(value, str) else value


def _rows(
    kind: type, found: Mapping[str, Sheet], sheet: str, of: tuple[str, str], faults: Faults, owner: str = ""
) -> Iterator[tuple[str, dict[str, Any]]]:
    """Rows of one sheet by key, each with the name of its owner if it has one."""
    (file, units), rows = of, found.get(sheet, [])
    known = table_columns(kind, units)
    heads = [str(head or "").strip() for head in rows[0][1]] if rows else []
    top = FaultSpot(file=f"{file}, sheet {sheet}", row=rows[0][0] if rows else 1)
    for head in filter(None, heads):
        if head not in known and head != owner:
            faults.add(unknown(head, kind, units, top, known=known))
        elif heads.count(head) > 1:
            faults.add(top.fault(found=f"column {shown(head)} twice", expected="each column once", column=head))
    for row, cells in rows[1:]:
        spot = FaultSpot(file=top.file, row=row)
        raw = {head: _plain(cell) for head, cell in zip(heads, cells, strict=False) if cell is not None and head}
        yield str(raw.pop(owner, "")) if owner else "", _parts(raw, known, columns(kind, units), spot, faults)


def _parts(
    raw: dict[str, Any], known: Mapping[str, Column], keys: Any, spot: FaultSpot, faults: Faults
) -> dict[str, Any]:
    """Cells of one row as keys, the columns of a range put together; a cell that cannot be is a fault at its row."""
    made: dict[str, Any] = {}
    for name, value in raw.items():
        item = known.get(name)
        if item is None:
            continue
        key = next(k for k, c in keys.items() if c.field == item.field)
        if item.part:
            made.setdefault(key, {})[item.part] = value
        elif item.form in ("texts", "list"):
            made[key] = _listed(str(value))
        elif item.form == "bool" and isinstance(value, str):
            made[key] = BOOLS.get(value.strip().lower(), value)
        else:
            made[key] = value
        if item.form in ("number", "range") and item.part != "source" and isinstance(value, str):
            faults.add(spot.fault(found=shown(value), expected="a number, not a date or a text", column=name))
        if item.form in ("text", "choice") and isinstance(value, int | float) and not isinstance(value, bool):
            made[key] = str(int(value)) if float(value).is_integer() else repr(value)
    return made


def _listed(text: str) -> list[Any]:
    """A list in a cell: words with semicolons between them, or a list as in JSON where a word has one itself."""
    if text.startswith("["):
        try:
            found = json.loads(text)
        except (ValueError, RecursionError):
            found = None
        if isinstance(found, list):
            return found
    return [one.strip() for one in text.split(";")]


def _below(
    tree: dict[str, Any], studies: list[Any], found: Mapping[str, Sheet], of: tuple[str, str], faults: Faults
) -> None:
    """What belongs to a line, an allowance set, a method or a study goes into it."""
    by_code = {str(one.get("study")): one for one in studies}
    places = {"allowances": ("allowances", "line"), "steps": ("method", "step")}
    for sheet, kind in BELOW.items():
        for name, parts in _rows(kind, found, sheet, of, faults, owner=OWNER[sheet]):
            if sheet == "stops":
                _table(tree, "line").setdefault("stop", []).append(parts)
            elif sheet in places:
                table, part = places[sheet]
                _table(_table(tree, table), name).setdefault(part, []).append(parts)
            elif name in by_code:
                by_code[name].setdefault("element" if sheet == "elements" else sheet, []).append(parts)
            else:
                spot = FaultSpot(file=f"{of[0]}, sheet {sheet}")
                faults.add(spot.fault(found=shown(name), expected=known_name(name, by_code), column="study"))


def _table(tree: dict[str, Any], name: str) -> dict[str, Any]:
    """A table of the tree, made if it is not there; a value in its place gives way and is refused later."""
    if not isinstance(tree.get(name), dict):
        tree[name] = {}
    return tree[name]


def _readings(studies: list[Any], sheet: Sheet, spot: FaultSpot, faults: Faults) -> None:
    """Rows of the sheet `readings` go to their studies, a column each."""
    if not sheet:
        return
    heads = [str(head or "") for head in sheet[0][1]]
    by_code: dict[str, dict[str, list[Any]]] = {
        str(one.get("study")): {name: [] for name in READINGS_COLUMNS} for one in studies
    }
    for head in filter(None, heads):
        if head not in ("study", *READINGS_COLUMNS):
            faults.add(spot.fault(found=f"column {shown(head)}", expected=known_name(head, READINGS_COLUMNS)))
    for row, cells in sheet[1:]:
        one = {head: _plain(cell) for head, cell in zip(heads, cells, strict=False)}
        table = by_code.get(str(one.get("study")))
        if table is None:
            at = FaultSpot(file=spot.file, row=row)
            faults.add(at.fault(found=shown(one.get("study")), expected=known_name(str(one.get("study")), by_code)))
            continue
        for name in READINGS_COLUMNS:
            table[name].append(
                _reading(name, one.get(name), len(table["seq"]), FaultSpot(file=spot.file, row=row), faults)
            )
    for study in studies:
        study["readings"] = by_code[str(study.get("study"))]


def _reading(name: str, value: Any, count: int, spot: FaultSpot, faults: Faults) -> Any:
    """One cell of a reading in its kind."""
    if name == "seq" and value is None:
        return count + 1
    if name in ("element", "mark", "note"):
        return "" if value is None else str(value)
    whole = name in ("seq", "cycle")
    if isinstance(value, str | bool) or (whole and not (isinstance(value, int | float) and float(value).is_integer())):
        expected = "a whole number" if whole else "a number, not a date or a text"
        faults.add(spot.fault(found=shown(value), expected=expected, column=name))
        return 0 if whole else None
    return int(value) if whole else value
