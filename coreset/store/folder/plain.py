"""Case <-> plain parts that JSON, TOML and CSV can hold. Keys are the files' own, with units in their names."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from dataclasses import is_dataclass
from typing import Any

from coreset.case import UNIT_SETS, Case, Correction, Range, Reading, Readings
from coreset.errors import Fault, StudyError
from coreset.store.folder.draft import Draft, finish, row, take_head, take_study
from coreset.store.folder.faults import Faults, FaultSpot, one_of, shown
from coreset.store.folder.parts import NAMED, SECTIONS, TABLES
from coreset.store.folder.records import blank_range
from coreset.store.folder.schema import columns
from coreset.store.folder.tables import read_table

READINGS_COLUMNS = Reading._fields


def flat(value: Any, units: str) -> dict[str, Any]:
    """One value by the keys of its file; what equals the default is left out."""
    found = {}
    for name, item in columns(type(value), units).items():
        inner = getattr(value, item.field)
        if item.required or inner != item.default:
            found[name] = _part(inner, units)
    return found


def _part(value: Any, units: str) -> Any:
    if isinstance(value, Range):
        if blank_range(value):
            return value.likely
        parts = {"low": value.low, "likely": value.likely, "high": value.high}
        return parts | ({"source": value.source} if value.source else {})
    if isinstance(value, tuple):
        return [_part(inner, units) for inner in value]
    return flat(value, units) if is_dataclass(value) else value


def head(case: Case) -> dict[str, Any]:
    """What stands in case.toml: the case's own keys, its sections, its allowance sets and methods."""
    found = flat(case, case.units)
    for name in SECTIONS:
        found[name] = flat(getattr(case, name), case.units)
    for name, (_, key) in NAMED.items():
        values = case.allowances if name == "allowances" else case.methods
        tables = [flat(value, case.units) for value in values]
        found[name] = {table[key]: {k: v for k, v in table.items() if k != key} for table in tables}
    codes = [study.study for study in case.studies]
    if codes != sorted(codes):
        found["studies"] = codes
    return found


def _numbers(values: tuple[Any, ...]) -> list[Any]:
    return [None if value != value else value for value in values]


def plain(case: Case) -> dict[str, Any]:
    """The whole case as dicts, lists, texts and numbers, ready for JSON.

    Returns
    -------
    dict
        As case.toml, with a list for each of `TABLES` and `studies`; a study has `readings`, one
        list a column, where None stands for what was not read.
    """
    found = head(case)
    for name in TABLES:
        found[name] = [flat(value, case.units) for value in getattr(case, name)]
    found["studies"] = []
    for study in case.studies:
        readings = {name: _numbers(getattr(study.readings, name)) for name in READINGS_COLUMNS}
        changes = [flat(change, case.units) for change in study.corrections]
        found["studies"].append({**flat(study, case.units), "readings": readings, "corrections": changes})
    return found


def build(
    parts: Mapping[str, Any], *, file: str = "case", held: Collection[str] = (), texts: Mapping[str, str] | None = None
) -> Case:
    """The case from its plain parts, checked as a folder is.

    Parameters
    ----------
    parts : mapping
        As `plain` gives them, or read from JSON.
    file : str
        What to call the whole in a fault.
    held : collection of str
        Codes that are taken as they are, since the case had them before.
    texts : mapping of str to str, optional
        Tables as CSV by their name, in the place of those of `parts`; their faults have row and column.

    Raises
    ------
    StudyError
        With every fault.
    """
    faults, spot = Faults(), FaultSpot(file=file)
    if not isinstance(parts, Mapping):
        raise StudyError([Fault(file=file, found=shown(parts), expected="the parts of a case")])
    units = parts.get("units")
    if not isinstance(units, str) or units not in UNIT_SETS:
        raise StudyError([Fault(file=file, column="units", found=shown(units), expected=one_of(UNIT_SETS))])
    draft = Draft(units=units, faults=faults, held=held)
    listed = {name: _list(parts.get(name, []), name, spot, faults) for name in (*TABLES, "studies")}
    take_head({k: v for k, v in parts.items() if k not in listed}, spot, draft)
    for name, kind in TABLES.items():
        at = [spot.below(f"{name}[{i}]") for i in range(1, len(listed[name]) + 1)]
        draft.tables[name] = [row(kind, one, here, draft) for one, here in zip(listed[name], at, strict=True)]
    for name, text in (texts or {}).items():
        draft.tables[name] = read_table(TABLES[name], text, name, units, faults)
    for number, one in enumerate(listed["studies"], start=1):
        _study(one, spot.below(f"studies[{number}]"), draft)
    draft.order = [str(one.get("study", "")) for one in listed["studies"]]
    return finish(draft)


def _list(value: Any, name: str, spot: FaultSpot, faults: Faults) -> list[Mapping[str, Any]]:
    if isinstance(value, list | tuple) and all(isinstance(one, Mapping) for one in value):
        return list(value)
    faults.add(spot.fault(found=shown(value), expected=f"a list of {name}", column=name))
    return []


def _study(raw: Mapping[str, Any], spot: FaultSpot, draft: Draft) -> None:
    own = {k: v for k, v in raw.items() if k not in ("readings", "corrections")}
    study = take_study(str(raw.get("study", "")), own, spot, draft)
    changes = _list(raw.get("corrections", []), "corrections", spot, draft.faults)
    study.corrections = [row(Correction, one, spot.below("corrections"), draft) for one in changes]
    study.readings = _readings(raw.get("readings", {}), spot, draft.faults)
    study.rows = range(1, len(study.readings) + 1)
    study.readings_file = f"{spot.file}, readings of {study.row.fields.get('study')}"


def _readings(raw: Any, spot: FaultSpot, faults: Faults) -> Readings:
    """Columns of readings, each value of its kind."""
    if not isinstance(raw, Mapping) or raw.keys() - set(READINGS_COLUMNS):
        faults.add(spot.fault(found=shown(raw), expected=f"columns {', '.join(READINGS_COLUMNS)}", column="readings"))
        return Readings()
    columns_found = {}
    for name, values in raw.items():
        kind = {"seq": int, "cycle": int, "reading_s": float, "rating": float}.get(name, str)
        made = [_reading(value, kind) for value in values] if isinstance(values, list | tuple) else [None]
        if None in made:
            faults.add(
                spot.fault(found="other values", expected=f"a list of {kind.__name__}", column=f"readings.{name}")
            )
            return Readings()
        columns_found[name] = tuple(made)
    if len({len(values) for values in columns_found.values()}) > 1 or 0 < len(columns_found) < len(READINGS_COLUMNS):
        faults.add(spot.fault(found="columns of unlike length", expected="all of one length", column="readings"))
        return Readings()
    return Readings(**columns_found)


def _reading(value: Any, kind: type) -> Any:
    """One value of a column, or None if it is of another kind or no finite number."""
    if kind is float:
        if value is None:
            return math.nan
        fits = isinstance(value, int | float) and not isinstance(value, bool) and abs(value) <= 1e9
        return float(value) if fits else None
    return value if isinstance(value, kind) and not isinstance(value, bool) else None
