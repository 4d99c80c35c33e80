# longer because it is the form behind pages, not one of them
"""A form for any value of a case: one widget a field, its meaning as label, its limits kept, its column as help."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import streamlit as st

from coreset.brief import say
from coreset.brief.editing import Asked, fields
from coreset.case import Range


def form(kind: type, value: Any, units: str, *, key: str) -> dict[str, Any] | None:
    """Show a form; the typed values once it is sent, else None."""
    with st.form(key, border=False):
        found = {asked.name: _widget(asked, _now(asked, value), key) for asked in fields(kind, units)}
        sent = st.form_submit_button(say("front.facts.keep"), type="primary")
    return {name: item for name, item in found.items() if item is not None} if sent else None


def _now(asked: Asked, value: Any) -> Any:
    return asked.default if value is None else getattr(value, asked.name)


def _widget(asked: Asked, now: Any, key: str) -> Any:
    makers: dict[str, Callable[..., Any]] = {
        "bool": _tick,
        "choice": _choice,
        "int": _whole,
        "float": _number,
        "str": _text,
        "range": _range,
    }
    return makers[asked.kind](asked, now, f"{key}.{asked.name}")


def _said(asked: Asked, key: str) -> dict[str, Any]:
    return {"label": asked.label, "help": asked.help, "key": key}


def _tick(asked: Asked, now: Any, key: str) -> bool:
    return st.checkbox(value=bool(now), **_said(asked, key))


def _choice(asked: Asked, now: Any, key: str) -> Any:
    choices = list(asked.choices)
    place = choices.index(str(now)) if str(now) in choices else (None if asked.optional else 0)
    return st.selectbox(options=choices, index=place, **_said(asked, key))


def _whole(asked: Asked, now: Any, key: str) -> Any:
    least = None if asked.least is None else int(asked.least)
    return st.number_input(value=None if now is None else int(now), min_value=least, step=1, **_said(asked, key))


def _number(asked: Asked, now: Any, key: str) -> Any:
    shown = None if now is None else float(now)
    limits = {"min_value": asked.least, "max_value": asked.most}
    return st.number_input(value=shown, format="%g", step=1.0, **limits, **_said(asked, key))


def _text(asked: Asked, now: Any, key: str) -> str:
    return st.text_input(value=now or "", **_said(asked, key))


def _range(asked: Asked, now: Any, key: str) -> Range | None:
    st.markdown(asked.label, help=asked.help)
    columns = st.columns([1, 1, 1, 2])
    ends = ("low", "likely", "high")
    typed = [
        column.number_input(
            say(f"front.range.{end}"),
            value=None if now is None else float(getattr(now, end)),
            format="%g",
            step=1.0,
            key=f"{key}.{end}",
        )
        for column, end in zip(columns, ends, strict=False)
    ]
    source = columns[-1].text_input(say("front.range.source"), value=getattr(now, "source", ""), key=f"{key}.source")
    low, likely, high = typed
    return None if likely is None else Range(low=_or(low, likely), likely=likely, high=_or(high, likely), source=source)


def _or(value: float | None, other: float) -> float:
    return other if value is None else value
