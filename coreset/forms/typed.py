"""What was typed into a form as the values of a case. In: texts, numbers, lists. Out: values, or every fault."""

from __future__ import annotations

import dataclasses
import typing
from collections.abc import Mapping
from typing import Any

from coreset.case import Range, column
from coreset.case.codes import TURNS
from coreset.errors import Fault, StudyError
from coreset.forms.fields import SEVERAL
from coreset.number_text import NUMBER, number
from coreset.text import say


def converted(kind: type, typed: Mapping[str, Any], units: str, *, new: bool) -> dict[str, Any]:
    """Values as the fields hold them.

    Parameters
    ----------
    kind : type
        A dataclass of the case.
    typed : mapping
        By field name, as a form gives them: several names as a list, several numbers as a text.
    units : str
        Unit set of the case, for the names of columns.
    new : bool
        Whether every field that has no default must be there.

    Raises
    ------
    StudyError
        With every value that is missing or cannot be read.
    """
    hints = typing.get_type_hints(kind)
    given = {field.name: field for field in dataclasses.fields(kind)}
    needed = {name for name, field in given.items() if field.default is dataclasses.MISSING}
    found, faults = {}, []
    for name in [*typed, *sorted(needed - set(typed) if new else ())]:
        try:
            found[name] = _value(hints[name], typed.get(name))
        except ValueError as error:
            shown = str(typed.get(name) or say("front.fault.nothing"))
            shown = TURNS.sub(lambda found: f"\\u{ord(found[0]):04x}", shown)
            faults.append(
                Fault(file=kind.__name__, column=column(given[name], units), found=shown, expected=str(error))
            )
    if faults:
        raise StudyError(faults)
    return found


class Ends(typing.NamedTuple):
    """A range as a form gives it: each end a number, a text that should be one, or nothing."""

    low: float | str | None
    likely: float | str | None
    high: float | str | None
    source: str


def as_typed(value: float | None, decimal: str) -> str:
    """A number as one would type it where the decimal sign is that: no digit less than it has.

    Examples
    --------
    >>> as_typed(0.085, "comma"), as_typed(170_000.0, "comma"), as_typed(2.5, "point"), as_typed(None, "comma")
    ('0,085', '170000', '2.5', '')
    """
    text = "" if value is None else repr(float(value)).removesuffix(".0")
    return text.replace(".", ",") if decimal == "comma" else text


def number_of(text: str) -> float | None:
    """The number that was typed, with either decimal sign; spaces may set thousands apart. Nothing typed is None.

    Raises
    ------
    ValueError
        If it is not one number.

    Examples
    --------
    >>> number_of("1 234,5"), number_of("−0.25"), number_of(" ")
    (1234.5, -0.25, None)
    """
    bare = "".join(text.split()).replace("−", "-").replace(",", ".")
    if not bare:
        return None
    if not NUMBER.fullmatch(bare):
        raise ValueError(say("front.fault.number"))
    return float(bare)


def _one(value: float | str | None) -> float | None:
    return number_of(value) if isinstance(value, str) else value


def _range(ends: Ends) -> Range | None:
    low, likely, high = (_one(end) for end in ends[:3])
    if likely is None:
        return None
    return Range(
        low=likely if low is None else low, likely=likely, high=likely if high is None else high, source=ends.source
    )


def _value(hint: Any, value: Any) -> Any:
    kinds = {hint, *typing.get_args(hint)}
    if any(
        isinstance(text, str) and TURNS.search(text) for text in (value if isinstance(value, tuple | list) else [value])
    ):
        raise ValueError(say("front.fault.direction"))
    if isinstance(value, Ends):
        value = _range(value)
    elif float in kinds and str not in kinds:
        value = _one(value)
    several = SEVERAL.get(hint)
    if typing.get_origin(hint) is tuple and several is None:
        return ()
    if several == "names":
        return tuple(value or ())
    if several in ("numbers", "pairs"):
        return _numbers(str(value or ""), pairs=several == "pairs")
    if value is None and type(None) not in typing.get_args(hint):
        if hint is str:
            return ""
        raise ValueError(say("front.fault.value"))
    return value


def _numbers(text: str, *, pairs: bool) -> tuple[Any, ...]:
    """Numbers from a text, one after a semicolon; pairs with a slash between."""
    parts = [part.replace(",", ".").split("/") for part in text.split(";") if part.strip()]
    try:
        split = [tuple(map(number, part)) for part in parts]
    except ValueError:
        split = [()]
    if any(len(part) != (2 if pairs else 1) for part in split):
        raise ValueError(say("front.fault.pairs" if pairs else "front.fault.numbers"))
    return tuple(split) if pairs else tuple(part[0] for part in split)
