"""One record: keys and raw values as found in a file -> a value of the case, or faults that say where and why."""

from __future__ import annotations

import dataclasses
import datetime
import math
from collections.abc import Mapping
from functools import cache
from typing import Any

from pydantic import TypeAdapter, ValidationError

from coreset.case import Range, column, plausible, shown_unit
from coreset.number_text import NUMBER
from coreset.store.folder.faults import Faults, FaultSpot, known_name, shown
from coreset.store.folder.schema import RANGE_PARTS, SEPARATOR, Column, columns, meaning_of, table_columns, unknown

BOOLS = {"yes": True, "no": False, "true": True, "false": False, "1": True, "0": False}
SMALLEST, LARGEST = 1e-9, 1e12
"""Sizes between which every figure of a plant lies; beyond them a slip is certain, and sums lose their digits."""
EXPECTED = {
    "greater_than": "a number above {gt:g}",
    "greater_than_equal": "a number not below {ge:g}",
    "less_than": "a number below {lt:g}",
    "less_than_equal": "a number not above {le:g}",
    "literal_error": "{expected}",
    "string_type": "text",
    "bool_parsing": "yes or no",
    "bool_type": "yes or no",
    "int_from_float": "a whole number",
    "int_parsing": "a whole number",
    "int_type": "a whole number",
    "int_parsing_size": "a whole number of fewer digits",
    "tuple_type": "a list",
    "float_type": "a number",
    "float_parsing": "a number",
    "dataclass_type": "a number, or {{low, likely, high, source}}",
}


@cache
def _adapter(kind: type) -> TypeAdapter[Any]:
    return TypeAdapter(kind)


def _range(value: Any, name: str, spot: FaultSpot, faults: Faults) -> Any:
    """A number, or a table of low, likely, high and source, as the parts of a range."""
    if not isinstance(value, Mapping):
        return {"likely": value, "low": value, "high": value}
    for key in value.keys() - set(RANGE_PARTS):
        faults.add(spot.fault(found=f"key {shown(key)}", expected=known_name(key, RANGE_PARTS), column=name))
    parts = {key: value[key] for key in RANGE_PARTS if key in value}
    if "likely" in parts and not parts.keys() & {"low", "high"}:
        parts |= {"low": parts["likely"], "high": parts["likely"]}
    return parts


def _value(raw: Any, item: Column, spot: FaultSpot, faults: Faults) -> Any:
    """A raw value brought near its type; what does not fit is left for the limits to refuse."""
    if item.form == "range":
        return _range(raw, item.name, spot, faults)
    if item.form == "bool":
        return BOOLS.get(raw.strip().lower(), raw) if isinstance(raw, str) else raw
    if item.form == "text" and isinstance(raw, datetime.date | datetime.time):
        return raw.isoformat()
    if item.form == "choice" and isinstance(raw, str):
        return raw.strip()
    return raw


def assemble(kind: type, raw: Mapping[str, Any], units: str, spot: FaultSpot, faults: Faults) -> dict[str, Any]:
    """Keys of a TOML table or of a JSON object as fields; an unknown key is a fault.

    Parameters
    ----------
    kind : type
        Dataclass of the value.
    raw : mapping
        Keys with their units, as the file has them.
    units : str
        Of the case.
    spot : FaultSpot
        Where the table stands.
    faults : Faults
        Takes the faults.
    """
    known, fields = columns(kind, units), {}
    for name, value in raw.items():
        item = known.get(name)
        if item is None:
            faults.add(unknown(name, kind, units, spot, known=known))
        elif item.form == "records":
            fields[item.field] = tuple(_records(item, value, units, spot, faults))
        elif value is not None:
            fields[item.field] = _value(value, item, spot, faults)
    return fields


def _records(item: Column, value: Any, units: str, spot: FaultSpot, faults: Faults) -> list[Any]:
    """The tables of one list of tables, such as [[line.stop]]."""
    if not isinstance(value, list | tuple) or not all(isinstance(part, Mapping) for part in value):
        faults.add(spot.fault(found=shown(value), expected=f"tables [[{spot.table}.{item.name}]]", column=item.name))
        return []
    spots = [spot.below(f"{item.name}[{number}]") for number in range(1, len(value) + 1)]
    made_all = [
        made(item.kind, assemble(item.kind, part, units, at, faults), units, at, faults)
        for part, at in zip(value, spots, strict=True)
    ]
    return [made for made in made_all if made is not None]


def table_record(kind: type, cells: Mapping[str, Any], units: str, spot: FaultSpot, faults: Faults) -> dict[str, Any]:
    """Cells of one row of a CSV table, by column, as fields; an empty cell takes the default.

    Parameters
    ----------
    kind : type
        Dataclass of the value.
    cells : mapping
        Text by column; the columns are known.
    units : str
        Of the case.
    spot : FaultSpot
        Where the row stands.
    faults : Faults
        Takes the faults.
    """
    known = table_columns(kind, units)
    fields: dict[str, Any] = {}
    for name, value in cells.items():
        item = known[name]
        if item.part:
            fields.setdefault(item.field, {})[item.part] = value
        elif item.form in ("texts", "list"):
            fields[item.field] = tuple(word.strip() for word in value.split(SEPARATOR) if word.strip())
        else:
            fields[item.field] = _value(value, item, spot, faults)
    for item in known.values():
        if item.part == "likely" and item.field in fields:
            fields[item.field] = _range(fields[item.field], item.name, spot, faults)
    return fields


def made(kind: type, fields: dict[str, Any], units: str, spot: FaultSpot, faults: Faults) -> Any:
    """A value of that kind from its fields, or None with a fault for each field that does not fit.

    Parameters
    ----------
    kind : type
        Dataclass of the value.
    fields : dict
        Values by field.
    units : str
        Of the case: a fault names the column.
    spot : FaultSpot
        Where the record stands.
    faults : Faults
        Takes the faults.
    """
    by_field = {item.field: item for item in columns(kind, units).values()}
    said: set[str] = set()
    for name, item in by_field.items():
        if item.form in ("number", "range", "list") and name in fields:
            said |= _numbers_only(fields[name], item, spot, faults)
    try:
        value = _adapter(kind).validate_python(fields)
    except ValidationError as error:
        for one in error.errors(include_url=False):
            at, *rest = one["loc"] or ("",)
            if not _told_by_likely(fields.get(str(at)), rest[0] if rest else ""):
                _refuse(one, (kind, by_field, said), spot, faults)
        return None
    if not said:
        _question(value, units, spot, faults)
    return None if said else value


def _question(value: Any, units: str, spot: FaultSpot, faults: Faults) -> None:
    """A fault for each figure that no plant has, and that was likely typed in another unit."""
    for item in dataclasses.fields(value):
        figure, limits = getattr(value, item.name), plausible(item, units)
        if figure is None or limits is None or limits[0] <= figure <= limits[1]:
            continue
        unit = shown_unit(item, units)
        expected = f"{limits[0]:g} to {limits[1]:g}{' ' + unit if unit else ''}; is it {item.metadata['slip']}?"
        faults.add(spot.fault(found=shown(figure), expected=expected, column=column(item, units)))


def _numbers_only(raw: Any, item: Column, spot: FaultSpot, faults: Faults) -> set[str]:
    """Refuse what a lenient reading would take for a number: yes and no, infinity, not-a-number; columns refused."""
    said: set[str] = set()
    for part, value in raw.items() if isinstance(raw, Mapping) else [("", raw)]:
        if _told_by_likely(raw, part):
            continue
        if isinstance(value, list | tuple):
            for inner in value:
                said |= _numbers_only(inner, item, spot, faults)
        elif part != "source" and (isinstance(value, bool) or not _finite(value) or _odd_number(value)):
            column = _column(item, part, spot)
            faults.add(spot.fault(found=shown(value), expected="a number", column=column))
            said.add(column)
        elif part != "source" and not _ordinary(value):
            column = _column(item, part, spot)
            expected = f"0, or a number of a size between {SMALLEST:g} and {LARGEST:g}"
            faults.add(spot.fault(found=shown(value), expected=expected, column=column))
            said.add(column)
    return said


def _told_by_likely(raw: Any, part: Any) -> bool:
    """Whether the end of a range is the one figure that was given, or missing as that is: one slip, one fault."""
    if not isinstance(raw, Mapping) or part not in ("low", "high"):
        return False
    return raw.get(part) is raw.get("likely") and (part in raw or not raw.keys() & {"low", "high"})


def _odd_number(value: Any) -> bool:
    """Whether a text is a number to a program alone, as 1_000 is; what is none to it either is refused further on."""
    if not isinstance(value, str) or not value:
        return False
    try:
        float(value)
    except ValueError:
        return False
    return not NUMBER.fullmatch(value)


def _ordinary(value: Any) -> bool:
    """Whether a number is of a size that a plant can have; text that is no number is left for the limits to refuse."""
    try:
        return value is None or float(value) == 0.0 or SMALLEST <= abs(float(value)) <= LARGEST
    except (TypeError, ValueError):
        return True


def _finite(value: Any) -> bool:
    try:
        return math.isfinite(float(value))
    except (TypeError, ValueError):
        return True
    except OverflowError:
        return False


def _column(item: Column, part: Any, spot: FaultSpot) -> str:
    """Name of a column, or of a part of a range: x_low in a CSV table, x.low in a TOML file."""
    if item.form != "range" or part not in RANGE_PARTS or (part == "likely" and not spot.lines):
        return item.name
    return f"{item.name}.{part}" if spot.lines else f"{item.name}_{part}"


def _refuse(error: Any, what: tuple[type, Mapping[str, Column], set[str]], spot: FaultSpot, faults: Faults) -> None:
    """One broken limit as a fault, unless its column was refused already."""
    kind, by_field, said = what
    name, *rest = error["loc"] or ("",)
    item = by_field.get(name)
    if item is None:
        faults.add(spot.fault(found=shown(error["input"]), expected=error["msg"]))
        return
    part = rest[0] if rest else ""
    column = _column(item, part, spot)
    if column in said:
        return
    if error["type"] == "missing":
        expected = f"the {part} value of the range" if part else meaning_of(kind, name)
        faults.add(spot.fault(found="nothing", expected=expected, column=column))
        return
    expected = _expected(error, meaning_of(kind, name))
    if item.form == "number" and isinstance(error["input"], str) and "," in error["input"]:
        expected += " with a decimal point"
    faults.add(spot.fault(found=shown(error["input"]), expected=expected, column=column))


def _expected(error: Any, meaning: str) -> str:
    """The limit in words."""
    kind, limits = error["type"], error.get("ctx", {})
    if kind in ("string_too_short", "too_short", "too_long", "string_too_long"):
        size = limits.get("min_length", limits.get("max_length"))
        return meaning if size == 1 else f"{meaning} ({size} characters)"
    return EXPECTED.get(kind, error["msg"]).format(**limits)


def blank_range(value: Range) -> bool:
    """Whether a range is one figure without a source, and is written as a plain number."""
    return value.low == value.likely == value.high and not value.source
