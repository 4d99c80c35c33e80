"""A form for any value of a case: one widget a field, its meaning as label, its limits kept, what is wrong under it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any

import streamlit as st

from coreset.forms.fields import Asked
from coreset.forms.groups import Group, groups
from coreset.forms.typed import Ends, as_typed
from coreset.pages.parts import layout
from coreset.text import message, say
from coreset.web import session

WIDTH = 720
"""Width of a column of fields. [px]"""


def form(
    asked: tuple[Asked, ...], value: Any, *, key: str, wrong: Mapping[str, str], kind: type | None = None
) -> dict[str, Any] | None:
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
    kind : type, optional
        Kind of the value: its fields come in groups, one behind the other.
    """
    parts = groups(kind or type(value), asked)
    first = next((one for part in parts for one in part.fields if one.column in wrong), None)
    with st.form(key, border=False):
        found: dict[str, Any] = {}
        for place, part in _places(parts, first):
            with place:
                for one in part.fields:
                    found[one.name] = _widget(one, _now(one, value), key)
                    if words := wrong.get(one.column):
                        layout.fault(words)
        with st.container(key=f"save_bar_{key}"):
            sent = st.form_submit_button(say("front.facts.keep"), type="primary", disabled=not session.may("edit"))
    if first is not None:
        layout.focus(f"{key}.{first.name}{'.likely' if first.kind == 'range' else ''}")
    return found if sent else None


def _places(parts: tuple[Group, ...], first: Asked | None) -> Iterator[tuple[Any, Group]]:
    """Where each group stands: a tab each, several advanced ones folded on the last; open where the first fault is."""
    titles = [say("front.group.advanced") if part.advanced else part.title for part in parts]
    names = list(dict.fromkeys(titles))
    faulty = next((at for at, part in enumerate(parts) if first in part.fields), 0)
    tabs = [st.container()]
    if len(names) > 1:
        tabs = st.tabs(names, default=titles[faulty])
    for at, part in enumerate(parts):
        if part.advanced and len(parts) > len(names):
            place = tabs[-1].expander(part.title, expanded=first in part.fields, width=WIDTH)
        else:
            place = tabs[at].container(width=WIDTH)
        yield place, part


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
    label = say("front.required", label=asked.label) if asked.required else asked.label
    return {"label": layout.plain(label), "help": layout.linked(asked.help), "key": key}


def _tick(asked: Asked, now: Any, key: str) -> bool:
    return st.checkbox(value=bool(now), **_said(asked, key))


def _choice(asked: Asked, now: Any, key: str) -> Any:
    choices = list(asked.choices)
    place = choices.index(str(now)) if str(now) in choices else (None if asked.optional else 0)
    return st.selectbox(options=choices, index=place, format_func=message, **_said(asked, key))


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
    return st.number_input(value=shown, format="%.12g", step=1.0, min_value=asked.least, max_value=asked.most, **said)


def _text(asked: Asked, now: Any, key: str) -> str:
    return st.text_input(value=now or "", **_said(asked, key))


def _range(asked: Asked, now: Any, key: str) -> Ends:
    """The likely value; low, high and source behind a button, empty until a range is added."""
    left, right = st.columns([3, 2], vertical_alignment="bottom")
    said = _said(asked, f"{key}.likely")
    likely = _end(left, None if now is None else float(now.likely), said)
    ranged = now is not None and not now.known
    ends = f"{now.low:,.6g} to {now.high:,.6g}" if ranged else ""
    label = say("front.range.ends", ends=session.in_manner(ends)) if ranged else say("front.range.add")
    with right.popover(layout.plain(label), width="stretch"):
        low, high = (
            _end(st, getattr(now, end) if ranged else None, {"label": say(f"front.range.{end}"), "key": f"{key}.{end}"})
            for end in ("low", "high")
        )
        source = st.text_input(say("front.range.source"), value=getattr(now, "source", ""), key=f"{key}.source")
    return Ends(low, likely, high, source=source)


def _end(place: Any, value: float | None, said: dict[str, Any]) -> Any:
    if session.decimal() == "comma":
        return place.text_input(value=as_typed(value, "comma"), **said)
    return place.number_input(value=value, format="%.12g", step=1.0, **said)
