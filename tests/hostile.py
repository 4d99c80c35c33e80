"""A case whose every text is hostile: markup, formulas, expressions, templates, in every field that takes text."""

import dataclasses
from typing import get_args, get_origin, get_type_hints

from coreset.case import Readings
from coreset.case.codes import FIELDS, safe_name
from coreset.store.folder.schema import bare

STINGS = [
    "<script>alert(1)</script>",
    "<img src=x onerror=alert(1)>",
    "=1+1",
    "**b** _i_ [a](javascript:alert(1)) $x^2$ `c`",
    "#eval(\"1\") #import \"x\" @ref <label> \\u{41}",
    "{{7*7}} {0} {name} %s %n ${x}",
    "datum.x; +cmd|' /C calc'!A0",
    "'; DROP TABLE reading; --",
    "../../etc/passwd",
    "\u202eright to left\u202c 漢字 🙂",
]  # fmt: skip
KEPT = {
    "units", "currency", "date", "clock_in", "clock_out", "study", "cause", "condition", "by", "rating_scale",
    "clothing", "value", "when", "steps_allowed", "decimal", "date_style", "effective", "superseded_by", "status",
    "picture",
}  # fmt: skip
EMPTY_MEANS_SOMETHING = {
    "core",
    "element",
    "allowances",
    "patterns",
    "after",
    "after_previous",
    "frequency_reason",
    "places",
}


def sting(text):
    """The text with something hostile before it; the same text always gets the same."""
    return f"{STINGS[sum(map(ord, text)) % len(STINGS)]} {text}"


def code_sting(text):
    """A code with as much of something hostile behind it as a code may hold."""
    return safe_name(f"{text} {STINGS[sum(map(ord, text)) % len(STINGS)]}")


def sting_of(name):
    """What makes the texts of a field hostile."""
    return code_sting if name in FIELDS else sting


def hostile(value):
    """A value of the case with a sting in every text, names and references alike."""
    if isinstance(value, Readings):
        return dataclasses.replace(value, element=tuple(map(sting, value.element)), note=tuple(map(sting, value.note)))
    hints, changed = get_type_hints(type(value)), {}
    for item in dataclasses.fields(value):
        inner, hint = getattr(value, item.name), bare(hints[item.name])
        if dataclasses.is_dataclass(inner):
            changed[item.name] = hostile(inner)
        elif isinstance(inner, tuple) and item.name not in KEPT:
            changed[item.name] = tuple(
                hostile(one)
                if dataclasses.is_dataclass(one)
                else sting_of(item.name)(one)
                if isinstance(one, str)
                else one
                for one in inner
            )
        elif hint is str and item.name not in KEPT and (inner or item.name not in EMPTY_MEANS_SOMETHING):
            changed[item.name] = sting_of(item.name)(inner)
        elif get_origin(hint) is None and not get_args(hint):
            continue
    return dataclasses.replace(value, **changed)
