"""Case <-> plain JSON values, without the readings and corrections that are rows of their own."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Any

from pydantic import TypeAdapter, ValidationError

from coreset.case import Case, Readings
from coreset.errors import BookError


@cache
def _form() -> TypeAdapter[Case]:
    return TypeAdapter(Case)


def plain(case: Case) -> dict[str, Any]:
    """The case as JSON values, its studies as headers with elements."""
    headers = tuple(replace(s, readings=Readings(), corrections=(), signed="") for s in case.studies)
    return _form().dump_python(replace(case, studies=headers), mode="json")


def built(plain_case: dict[str, Any], *, case_id: str) -> Case:
    """The case from its JSON values; fields that were added to the form since take their defaults.

    Raises
    ------
    BookError
        If the values do not fit the form of a case.
    """
    try:
        return _form().validate_python(plain_case)
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        place = ".".join(str(step) for step in first["loc"])
        raise BookError(f"case {case_id!r} must fit the form of a case, got {first['msg']} at {place}") from error
