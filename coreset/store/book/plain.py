"""Case <-> plain JSON values, without the readings and corrections that are rows of their own."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any, get_type_hints

from pydantic import TypeAdapter, ValidationError

from coreset.case import Case, Money, Range, Readings, fahrenheit
from coreset.errors import BookError
from coreset.units import KG_PER_LB

FORM, STORED = 2, "stored_form"
"""Version of the stored form, and its name there; 0.1.0 wrote none, later ones `form`, which is now the case's own."""
LIMITS = ("budget", "mask_places")
"""Limits of the plant for which 0.1.0 wrote 0 where there was none."""
TEMPERATURES = ("temperature", "wet_bulb", "globe")
EARLIER_BODY_KG = 70.0
"""Body mass that every case had until somebody entered another; none is entered now."""
DIGITS = 9


@cache
def _form() -> TypeAdapter[Case]:
    return TypeAdapter(Case)


def plain(case: Case) -> dict[str, Any]:
    """The case as JSON values, its studies as headers with elements."""
    headers = tuple(replace(s, readings=Readings(), corrections=(), signed="") for s in case.studies)
    return {**_form().dump_python(replace(case, studies=headers), mode="json"), STORED: FORM}


def built(plain_case: dict[str, Any], *, case_id: str) -> Case:
    """The case from its JSON values; fields that were added to the form since take their defaults.

    A limit of 0 that 0.1.0 stored is no limit, as it meant then; a number that it stored where a range stands now is a
    range of that number. Temperatures that it stored in degrees Celsius, whatever the units, are taken into those of
    the case; so is the body mass.

    Raises
    ------
    BookError
        If the values do not fit the form of a case, or a newer version stored a field that this one does not know:
        saving the case would drop it.
    """
    stored = plain_case.get(STORED, plain_case.get("form", 1))
    if stored > FORM:
        raise BookError(f"case {case_id!r} must be of form {FORM} or older: a newer coreset saved it, install that one")
    values = {name: value for name, value in plain_case.items() if name != (STORED if STORED in plain_case else "form")}
    if stored < FORM:
        values = _with_limits(_with_temperatures(values))
    try:
        return _form().validate_python(_with_body_mass(_with_ranges(values)), extra="forbid")
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        place = ".".join(str(step) for step in first["loc"])
        raise BookError(f"case {case_id!r} must fit the form of a case, got {first['msg']} at {place}") from error


def _with_body_mass(plain_case: dict[str, Any]) -> dict[str, Any]:
    """The values with the body mass that an earlier version stored in kilograms in the case's units; 70 was its own."""
    place = plain_case.get("place")
    if not isinstance(place, dict) or "body_mass_kg" not in place:
        return plain_case
    now = {name: value for name, value in place.items() if name != "body_mass_kg"}
    kg = place["body_mass_kg"]
    if isinstance(kg, float | int) and kg != EARLIER_BODY_KG:
        now["body_mass"] = round(kg / KG_PER_LB, DIGITS) if plain_case.get("units") == "us" else kg
    return {**plain_case, "place": now}


def _with_limits(plain_case: dict[str, Any]) -> dict[str, Any]:
    """The values with no limit where an earlier version stored 0 for none."""
    money = plain_case.get("money")
    if not isinstance(money, dict):
        return plain_case
    return {**plain_case, "money": {**money, **{name: None for name in LIMITS if not money.get(name)}}}


def _with_ranges(plain_case: dict[str, Any]) -> dict[str, Any]:
    """The values with a range where an earlier version stored one number."""
    money = plain_case.get("money")
    if not isinstance(money, dict):
        return plain_case
    kinds = get_type_hints(Money)
    numbers = {
        name: {"likely": value, "low": value, "high": value}
        for name, value in money.items()
        if isinstance(value, int | float) and kinds.get(name) in (Range, Range | None)
    }
    return {**plain_case, "money": {**money, **numbers}}


def _with_temperatures(plain_case: dict[str, Any]) -> dict[str, Any]:
    """The values with the temperatures of an earlier version under their names of today, in the case's units."""
    place: Any = plain_case.get("place")
    old = [f"{name}_c" for name in TEMPERATURES if isinstance(place, dict) and f"{name}_c" in place]
    if not old:
        return plain_case
    now = {name: value for name, value in place.items() if name not in old}
    for name in old:
        value = place[name]
        us = isinstance(value, float | int) and plain_case.get("units") == "us"
        now[name.removesuffix("_c")] = round(fahrenheit(value), DIGITS) if us else value
    return {**plain_case, "place": now}
