"""What a form asks for: the fields of a kind of value with label, help, limits and what is known to choose from."""

from __future__ import annotations

import dataclasses
import types
import typing
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from annotated_types import Ge, Gt, Le, Len, MinLen

from coreset.case import PLANT_CHANGES, Case, Range, column, shown_unit
from coreset.case.kinds import INDEX, SHARED
from coreset.forms.units import unit_of
from coreset.report.glossary import field_help
from coreset.sources import table
from coreset.study.rating_scales import scales
from coreset.text import message, say

SIMPLE = (bool, int, float, str)
SEVERAL = {tuple[str, ...]: "names", tuple[float, ...]: "numbers", tuple[tuple[float, float], ...]: "pairs"}
NUMBERS = ("int", "float", "numbers", "pairs", "range")
DOERS = ("machine", "operator", "setter")
"""Who and what takes part in a mold cycle, as steps name them."""
TYPED_ELSEWHERE = {
    "Study": ("study", "signed", "clock_trouble", "taken_with", "taken_by"),
    "Element": ("picture", "earlier"),
    "Action": ("picture",),
}
"""Fields that a form leaves alone: the clock, the import and the signature write them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """One field as a form asks for it. `kind`: bool, int, float, str, choice, open, names, numbers, pairs, range."""

    name: str
    column: str
    label: str
    help: str
    kind: str
    optional: bool
    default: Any
    choices: tuple[str, ...] = ()
    least: float | None = None
    most: float | None = None
    required: bool = False


def fields(kind: type, units: str, known: Mapping[str, tuple[str, ...]], currency: str = "") -> tuple[Asked, ...]:
    """What a form asks for a kind of value; fields that hold values of their own are edited in a place of their own.

    Parameters
    ----------
    kind : type
        A dataclass of the case.
    units : str
        Unit set of the case.
    known : mapping
        Names to choose from, by field; others may be typed.
    currency : str
        Currency of the case, for the units of prices.
    """
    hints = typing.get_type_hints(kind, include_extras=True)
    left_out = TYPED_ELSEWHERE.get(kind.__name__, ())
    asked = [f for f in dataclasses.fields(kind) if f.name not in left_out]
    found = (_asked(kind.__name__, field, hints[field.name], (units, known, currency)) for field in asked)
    return tuple(one for one in found if one is not None)


def _asked(
    owner: str, field: dataclasses.Field[Any], hint: Any, about: tuple[str, Mapping[str, Any], str]
) -> Asked | None:
    bare, limits, optional = _unwrapped(hint)
    units, known, currency = about
    kind, choices = _kind(bare, known.get(field.name, ()))
    if not kind:
        return None
    named = column(field, units)
    meaning = message(field.metadata.get("meaning", field.name))
    unit = unit_of(field, units, currency) if kind in NUMBERS else shown_unit(field, units)
    unit = "" if meaning.endswith(f", {unit}") else unit
    bounds: dict[type | None, Any] = {type(limit): limit for limit in limits}
    return Asked(
        name=field.name,
        column=named,
        label=say("front.field", meaning=meaning[:1].upper() + meaning[1:], unit=f", {unit}" if unit else ""),
        help=field_help(owner, field.name, named),
        kind=kind,
        optional=optional,
        default=None if field.default is dataclasses.MISSING else field.default,
        choices=choices,
        required=field.default is dataclasses.MISSING and field.default_factory is dataclasses.MISSING,
        least=_bound(bounds, Ge, "ge", Gt, "gt"),
        most=_bound(bounds, Le, "le", None, ""),
    )


def _kind(bare: Any, known: tuple[str, ...]) -> tuple[str, tuple[str, ...]]:
    if typing.get_origin(bare) is typing.Literal:
        return "choice", tuple(map(str, typing.get_args(bare)))
    if bare in SEVERAL:
        return SEVERAL[bare], known
    if bare is str and known:
        return "open", known
    return (bare.__name__.lower(), ()) if bare in (Range, *SIMPLE) else ("", ())


def _unwrapped(hint: Any) -> tuple[Any, tuple[Any, ...], bool]:
    """The type itself, its limits, and whether it may be empty."""
    optional = False
    if typing.get_origin(hint) in (typing.Union, types.UnionType):
        inner = [arg for arg in typing.get_args(hint) if arg is not type(None)]
        hint, optional = inner[0], True
    limits: tuple[Any, ...] = ()
    if typing.get_origin(hint) is typing.Annotated:
        hint, *rest = typing.get_args(hint)
        limits = tuple(rest)
    return hint, tuple(item for item in limits if isinstance(item, Ge | Gt | Le | Len | MinLen)), optional


def _bound(bounds: Mapping[type | None, Any], closed: type, name: str, open_: type | None, other: str) -> float | None:
    if closed in bounds:
        return float(getattr(bounds[closed], name))
    return float(getattr(bounds[open_], other)) if open_ in bounds else None


def known(case: Case, place: str, owner: int | None = None) -> dict[str, tuple[str, ...]]:
    """Names of the case and of the tables that a field of a place may take, by field.

    Parameters
    ----------
    case : Case
        Its patterns, methods, cores, studies, observers.
    place : str
        A section, a list, or `case`.
    owner : int, optional
        Number of the row that holds the list, for steps of a method and lines of an allowance.
    """
    methods = _once([case.baseline, case.candidate, *(method.method for method in case.methods)])
    found: dict[str, dict[str, tuple[str, ...]]] = {
        "case": {"baseline": methods, "candidate": methods},
        "place": {
            "clothing": _once(row["clothing"] for row in table("iso7243_2017/clothing").rows),
            "steps_allowed": PLANT_CHANGES,
        },
        "cores": {"pattern": _patterns(case)},
        "lifts": {"pattern": _patterns(case), "method": methods, "core": _cores(case)},
        "actions": {
            "pattern": _patterns(case),
            "method": methods,
            "task": _once(lift.task for lift in case.lifts),
        },
        "options": {"method": methods, "patterns": _patterns(case), "by_hand": _patterns(case), "hand_method": methods},
        "counts": {"pattern": _patterns(case)},
        "scrap": {"pattern": _patterns(case), "method": methods},
        "studies": {
            "pattern": _patterns(case),
            "method": methods,
            "allowances": _once(found.name for found in case.allowances),
            "rating_scale": tuple(scales()),
        },
        "elements": {"core": _cores(case)},
        "raters": {"observer": _observers(case), "rating_scale": tuple(scales())},
    }
    if place == "steps" and owner is not None:
        return _known_of_steps(case, owner)
    if place == "lines" and owner is not None and (key := case.allowances[owner].table):
        rows = table(f"{key}/allowances").rows
        return {name: _once(row[name] for row in rows) for name in ("cause", "condition")}
    return found.get(place, {})


def _observers(case: Case) -> tuple[str, ...]:
    return _once([*(study.observer for study in case.studies), *(row.observer for row in case.raters)])


def _known_of_steps(case: Case, owner: int) -> dict[str, tuple[str, ...]]:
    method = case.methods[owner]
    steps = _once(step.name for step in method.steps)
    elements = (e.name for study in case.studies if study.method == method.method for e in study.elements)
    index = (INDEX,) if case.line.kind in SHARED else ()
    every = (step.by for one in case.methods for step in one.steps)
    return {
        "by": _once([*every, *DOERS]),
        "element": _once(elements),
        "places": _cores(case),
        "after": (*steps, *index),
        "after_previous": (*steps, *index),
        "patterns": _patterns(case),
    }


def _patterns(case: Case) -> tuple[str, ...]:
    return _once(pattern.pattern for pattern in case.patterns)


def _cores(case: Case) -> tuple[str, ...]:
    return _once(core.core for core in case.cores)


def _once(names: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(filter(None, names)))
