"""The files follow the dataclasses. In: a kind of value and a unit set. Out: its columns, and how each is written."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from functools import cache
from types import NoneType, UnionType
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints

from coreset.case import UNIT_SETS, Range, column
from coreset.store.folder.faults import FaultSpot, known_name, shown

SEPARATOR = ";"
"""Sign between the words of a list in one cell of a table."""
RANGE_PARTS = ("low", "likely", "high", "source")
FORMS = {str: "text", bool: "bool", Range: "range", int: "number", float: "number"}


@dataclasses.dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One column or key of a file: the field it fills, its form, and the part of a range if it is one."""

    name: str
    field: str
    form: str
    part: str = ""
    required: bool = False
    default: Any = None
    kind: Any = None


def bare(annotation: Any) -> Any:
    """The type without its None."""
    if get_origin(annotation) in (Union, UnionType):
        return next(part for part in get_args(annotation) if part is not NoneType)
    return annotation


def _form(annotation: Any) -> tuple[str, type | None]:
    """How a field is written: text, bool, number, range, choice, texts, list of numbers, records with their kind."""
    kind = bare(annotation)
    if get_origin(kind) is Literal:
        return "choice", None
    if get_origin(kind) is tuple:
        inner = get_args(kind)[0]
        return ("records" if dataclasses.is_dataclass(inner) else "texts" if inner is str else "list"), inner
    return FORMS[kind], None


@cache
def columns(kind: type, units: str) -> dict[str, Column]:
    """Columns of a kind of value by name, in the order of its fields.

    Examples
    --------
    >>> from coreset.case import Core
    >>> list(columns(Core, "us"))[:7]
    ['pattern', 'core', 'kind', 'per_mold', 'cost', 'in_mask', 'mass_lb']
    """
    hints, found = get_type_hints(kind), {}
    for item in dataclasses.fields(kind):
        if "meaning" not in item.metadata:
            continue
        form, inner = _form(hints[item.name])
        name = item.name.removesuffix("s") if form == "records" else column(item, units)
        required = item.default is dataclasses.MISSING and form != "records"
        default = () if item.default is dataclasses.MISSING else item.default
        found[name] = Column(name=name, field=item.name, form=form, required=required, default=default, kind=inner)
    return found


@cache
def table_columns(kind: type, units: str) -> dict[str, Column]:
    """The same for a CSV table, where a range x has the columns x, x_low, x_high and x_source."""
    found = {}
    for name, item in columns(kind, units).items():
        found[name] = dataclasses.replace(item, part="likely") if item.form == "range" else item
        if item.form == "range":
            for part in ("low", "high", "source"):
                found[f"{name}_{part}"] = dataclasses.replace(item, name=f"{name}_{part}", part=part, required=False)
    return found


def other_units(units: str) -> str:
    """The unit set that is not the case's own."""
    return next(name for name in UNIT_SETS if name != units)


def meaning_of(kind: type, field: str) -> str:
    """What a field means, for a fault that says what was expected."""
    return next((f.metadata.get("meaning", f.name) for f in dataclasses.fields(kind) if f.name == field), field)


def unknown(name: str, kind: type, units: str, spot: FaultSpot, *, known: Mapping[str, Column]) -> Any:
    """The fault of a key or column that the table does not have: a unit of the other set, or a slip of the pen.

    Parameters
    ----------
    name : str
        The key or column.
    kind : type
        Dataclass of the table.
    units : str
        Of the case.
    spot : FaultSpot
        Where it stands.
    known : mapping
        Columns that the table has, by name.
    """
    other = {**columns(kind, other_units(units)), **table_columns(kind, other_units(units))}
    found = f"column {shown(name)}" if not spot.lines else f"key {shown(name)}"
    if name in other:
        right = next(n for n, c in known.items() if c.field == other[name].field and c.part == other[name].part)
        return spot.fault(found=found, expected=f"{right!r}: the case is in {units} units", column=name[:80])
    near = next((n for n, c in known.items() if c.field == name), None)
    expected = f"{near!r}, with its unit" if near else known_name(name, known)
    return spot.fault(found=found, expected=expected, column=name[:80])
