"""A form for any value of a case: one widget a field, its meaning as label, its limits kept, what is wrong under it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import streamlit as st

from coreset.forms.fields import Asked
from coreset.forms.typed import Ends, as_typed
from coreset.pages.parts import layout
from coreset.text import say
from coreset.web import session

ENDS = ("low", "likely", "high")


def form(asked: tuple[Asked, ...], value: Any, *, key: str, wrong: Mapping[str, str]) -> dict[str, Any] | None:
    """Show a form; the typed values once it is sent, else None.

    Parameters
    ----------
    asked : fields
        What to ask for.
    value : object
        What the fields hold now; None for a new row.
    key : str
        Name of the form; another name begins it anew.
    wrong : mapping
        What was wrong with it when it was sent last, by column.
    """
    with st.form(key, border=False):
        found: dict[str, Any] = {}
        for row in _in_pairs(asked):
            for one, column in zip(row, st.columns(1 if row[0].kind == "range" else 2), strict=False):
                with column:
                    found[one.name] = _widget(one, _now(one, value), key)
                    if words := wrong.get(one.column):
                        layout.fault(words)
        sent = st.form_submit_button(say("front.facts.keep"), type="primary", disabled=not session.may("edit"))
    return found if sent else None


def _in_pairs(asked: tuple[Asked, ...]) -> list[list[Asked]]:
    """Fields side by side in the order of the file; one with low, likely and high takes the whole width."""
    found: list[list[Asked]] = []
    for one in asked:
        last = found[-1] if found else []
        if one.kind != "range" and len(last) == 1 and last[0].kind != "range":
            last.append(one)
        else:
            found.append([one])
    return found


def _now(asked: Asked, value: Any) -> Any:
    return asked.default if value is None else getattr(value, asked.name)


def _widget(asked: Asked, now: Any, key: str) -> Any:
    makers: dict[str, Callable[..., Any]] = {
        "bool": _tick,
        "choice": _choice,
        "open": _open,
        "names": _names,
        "numbers": _numbers,
        "pairs": _pairs,
        "int": _whole,
        "float": _number,
        "str": _text,
        "range": _range,
    }
    return makers[asked.kind](asked, now, f"{key}.{asked.name}")


def _said(asked: Asked, key: str) -> dict[str, Any]:
    return {"label": layout.plain(asked.label), "help": layout.linked(asked.help), "key": key}


def _tick(asked: Asked, now: Any, key: str) -> bool:
    return st.checkbox(value=bool(now), **_said(asked, key))


def _choice(asked: Asked, now: Any, key: str) -> Any:
    choices = list(asked.choices)
    place = choices.index(str(now)) if str(now) in choices else (None if asked.optional else 0)
    return st.selectbox(options=choices, index=place, **_said(asked, key))


def _open(asked: Asked, now: Any, key: str) -> Any:
    choices = list(dict.fromkeys([*filter(None, [now]), *asked.choices]))
    return st.selectbox(options=choices, index=0 if now else None, accept_new_options=True, **_said(asked, key))


def _names(asked: Asked, now: Any, key: str) -> Any:
    choices = list(dict.fromkeys([*(now or ()), *asked.choices]))
    return st.multiselect(options=choices, default=list(now or ()), accept_new_options=True, **_said(asked, key))


def _numbers(asked: Asked, now: Any, key: str) -> str:
    return st.text_input(value=session.in_manner("; ".join(f"{one:g}" for one in now or ())), **_said(asked, key))


def _pairs(asked: Asked, now: Any, key: str) -> str:
    return st.text_input(
        value=session.in_manner("; ".join(f"{one:g}/{other:g}" for one, other in now or ())), **_said(asked, key)
    )


def _whole(asked: Asked, now: Any, key: str) -> Any:
    least = None if asked.least is None else int(asked.least)
    return st.number_input(value=None if now is None else int(now), min_value=least, step=1, **_said(asked, key))


def _number(asked: Asked, now: Any, key: str) -> Any:
    """A number; where the case has a decimal comma, typed as text, since the framework's own field has none."""
    said = _said(asked, key)
    if session.decimal() == "comma":
        return st.text_input(value=as_typed(now, "comma"), **said)
    shown = None if now is None else float(now)
    return st.number_input(value=shown, format="%g", step=1.0, min_value=asked.least, max_value=asked.most, **said)


def _text(asked: Asked, now: Any, key: str) -> str:
    return st.text_input(value=now or "", **_said(asked, key))


def _range(asked: Asked, now: Any, key: str) -> Ends:
    st.markdown(layout.plain(asked.label), help=layout.linked(asked.help))
    *columns, last = st.columns([1, 1, 1, 2])
    typed = [_end(column, end, now, f"{key}.{end}") for column, end in zip(columns, ENDS, strict=True)]
    source = last.text_input(say("front.range.source"), value=getattr(now, "source", ""), key=f"{key}.source")
    return Ends(*typed, source=source)


def _end(column: Any, end: str, now: Any, key: str) -> Any:
    value = None if now is None else float(getattr(now, end))
    if session.decimal() == "comma":
        return column.text_input(say(f"front.range.{end}"), value=as_typed(value, "comma"), key=key)
    return column.number_input(say(f"front.range.{end}"), value=value, format="%g", step=1.0, key=key)
