"""A case changed by what somebody typed, checked by the same rules as its files. In: a case and values. Out: a case."""

from __future__ import annotations

import dataclasses
import types
import typing
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from annotated_types import Ge, Gt, Le, Len, MinLen

from coreset.brief.text import say
from coreset.case import Case, Core, Lift, Pattern, Range, ScrapCount, column
from coreset.errors import Fault, StudyError
from coreset.folder import build, plain

TABLES = {"patterns": Pattern, "cores": Core, "lifts": Lift, "scrap": ScrapCount}
SECTIONS = ("money", "line", "setter", "place")
NAMED_BY = {"patterns": "pattern", "cores": "core", "lifts": "task", "scrap": "cause"}
SIMPLE = (bool, int, float, str)


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """One field as a form asks for it. `kind`: bool, int, float, str, choice, range."""

    name: str
    label: str
    help: str
    kind: str
    optional: bool
    default: Any
    choices: tuple[str, ...] = ()
    least: float | None = None
    most: float | None = None


def fields(kind: type, units: str) -> tuple[Asked, ...]:
    """What a form asks for a kind of value; fields that hold lists of their own are edited elsewhere."""
    hints = typing.get_type_hints(kind, include_extras=True)
    found = (_asked(field, hints[field.name], units) for field in dataclasses.fields(kind))
    return tuple(asked for asked in found if asked is not None)


def _asked(field: dataclasses.Field[Any], hint: Any, units: str) -> Asked | None:
    bare, limits, optional = _unwrapped(hint)
    if typing.get_origin(bare) is typing.Literal:
        kind, choices = "choice", tuple(map(str, typing.get_args(bare)))
    elif bare in (Range, *SIMPLE):
        kind, choices = bare.__name__.lower(), ()
    else:
        return None
    named = column(field, units)
    unit = named.removeprefix(field.name).strip("_")
    meaning = field.metadata.get("meaning", field.name)
    bounds = {type(limit): limit for limit in limits}
    return Asked(
        name=field.name,
        label=say("front.field", meaning=meaning[:1].upper() + meaning[1:], unit=f", {unit}" if unit else ""),
        help=say("front.field_help", column=named),
        kind=kind,
        optional=optional,
        default=None if field.default is dataclasses.MISSING else field.default,
        choices=choices,
        least=_bound(bounds, Ge, "ge", Gt, "gt"),
        most=_bound(bounds, Le, "le", None, ""),
    )


def _unwrapped(hint: Any) -> tuple[Any, tuple[Any, ...], bool]:
    """The type itself, its limits, and whether it may be empty."""
    optional = False
    if typing.get_origin(hint) in (typing.Union, types.UnionType):
        inner = [arg for arg in typing.get_args(hint) if arg is not type(None)]
        hint, optional = inner[0], True
    limits: tuple[Any, ...] = ()
    if typing.get_origin(hint) is typing.Annotated:
        hint, *limits = typing.get_args(hint)
    return hint, tuple(item for item in limits if isinstance(item, Ge | Gt | Le | Len | MinLen)), optional


def _bound(bounds: Mapping[type, Any], closed: type, name: str, open_: type | None, other: str) -> float | None:
    if closed in bounds:
        return float(getattr(bounds[closed], name))
    return float(getattr(bounds[open_], other)) if open_ in bounds else None


def rows_of(case: Case, table: str) -> tuple[str, ...]:
    """Names of the rows of a table, as a list offers them."""
    own = NAMED_BY[table]
    return tuple(
        " ".join(dict.fromkeys([getattr(row, "pattern", ""), getattr(row, own)])) for row in getattr(case, table)
    )


def changed(case: Case, place: str, values: Mapping[str, Any], *, row: int | None = None) -> Case:
    """The case with values put in, checked as its files are.

    Parameters
    ----------
    case : Case
        As it is.
    place : str
        A section, a table, or `case` for its own fields.
    values : mapping
        New values by field name.
    row : int, optional
        Row of a table; one past the last adds a row.

    Returns
    -------
    Case

    Raises
    ------
    StudyError
        With every fault: what was found and what was expected.
    """
    if place == "case":
        return checked(dataclasses.replace(case, **values))
    if row is None:
        return checked(dataclasses.replace(case, **{place: dataclasses.replace(getattr(case, place), **values)}))
    rows = list(getattr(case, place))
    new = dataclasses.replace(rows[row], **values) if row < len(rows) else _new(place, values, case.units)
    return checked(dataclasses.replace(case, **{place: (*rows[:row], new, *rows[row + 1 :])}))


def _new(place: str, values: Mapping[str, Any], units: str) -> Any:
    """A new row, if every value that it cannot do without is there."""
    needed = [field for field in dataclasses.fields(TABLES[place]) if field.default is dataclasses.MISSING]
    missing = [field for field in needed if field.name not in values]
    if missing:
        nothing, value = say("front.fault.nothing"), say("front.fault.value")
        raise StudyError(
            Fault(file=place, column=column(field, units), found=nothing, expected=value) for field in missing
        )
    return TABLES[place](**values)


def without(case: Case, table: str, row: int) -> Case:
    """The case without one row of a table."""
    rows = getattr(case, table)
    return checked(dataclasses.replace(case, **{table: (*rows[:row], *rows[row + 1 :])}))


def checked(case: Case) -> Case:
    """The same case, if its files would be taken."""
    return build(plain(case))
