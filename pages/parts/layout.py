"""Pieces that every page is set from: its title, the answer, what is asked, what is wrong, words of caution."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from importlib import import_module
from importlib.resources import files
from typing import Any
from urllib.parse import quote

import streamlit as st

from coreset.brief import case_status
from coreset.errors import StudyError
from coreset.pages.parts.written import plain
from coreset.report.glossary import PAGE, term, word_help
from coreset.report.numbers import bound
from coreset.text import message, say
from coreset.web import navigation, session

FOCUS_CELL = files("coreset.pages.parts").joinpath("focus_cell.js").read_text(encoding="utf-8")
SIDE_BY_SIDE = 12
"""Patterns that are offered side by side; more of them in a list."""


def named(key: str) -> None:
    """Title of a page that has neither charts nor tables of data."""
    st.title(say(f"{key}.title"), anchor=False)


def head(key: str) -> None:
    """Title of a page, sent before the page is drawn.

    The data library is loaded whole after it: the drawing library looks at it unguarded, and a session that draws while
    another loads it would see half of it. Whoever comes second waits here.
    """
    named(key)
    import_module("pandas")


def answer(sentence: str) -> None:
    """The page's answer, first and in one sentence."""
    st.markdown(f"**{plain(sentence)}**")


def figures(shown: Sequence[Any]) -> None:
    """Figures side by side: what, value, what it lies between."""
    if not shown:
        return
    for column, figure in zip(st.columns(len(shown)), shown, strict=True):
        with column, st.container(gap="xxsmall"):
            st.metric(plain(figure.what), bound(session.in_manner(figure.value)))
            st.caption(plain(figure.interval))


def bar(case: Any, page: str) -> Any:
    """In a line on every page: the views of its room; which case, and what to do next and where. The line itself."""
    with st.container(horizontal=True, gap="small", horizontal_alignment="distribute", key="bar"):
        with st.container(horizontal=True, gap="small", vertical_alignment="center", width="content", key="views"):
            for view in navigation.views(page):
                navigation.link(view, say(f"front.page.{view}"), icon="")
        line = st.container(horizontal=True, gap="xsmall", vertical_alignment="center", width="content", key="case_bar")
    with line:
        st.caption(plain(case_status.short_title(case)), width="content")
        ahead = case_status.ahead(case)
        navigation.link(ahead.page, say("front.case.go", words=ahead.words), **ahead.at)
    return line


def linked(help_: str) -> str:
    """Help whose link to the glossary keeps the case that is open."""
    return help_.replace(f"({PAGE}#", f"({PAGE}?case={quote(st.query_params.get('case', ''), safe='')}#")


def word(entry: str) -> str:
    """Help of a field of a page: what its word means, and a link to it."""
    return linked(word_help(entry))


def field(kind: type, name: str) -> str:
    """Help of a field of the case where a page asks for it in its own way."""
    return linked(word_help(*term(kind.__name__, name)))


def one_of(patterns: Sequence[str]) -> str:
    """The pattern that a page is about, chosen among those that it can be."""
    label, help_ = say("study.cycles.pattern"), word("pattern")
    if len(patterns) > SIDE_BY_SIDE:
        return st.selectbox(label, patterns, help=help_)
    return st.segmented_control(label, patterns, default=patterns[0], required=True, format_func=plain, help=help_)


@contextmanager
def addressed(name: str, choices: Sequence[str], *, key: str) -> Iterator[str]:
    """The key of a widget whose choice stands in the address, where a reload or a link finds it.

    The widget's own state holds. The address is read only where it says something else than was last written there: a
    default that followed the address would give the widget another identity, and lose the next choice.

    Parameters
    ----------
    name : str
        Parameter of the address.
    choices : sequence of str
        What can be chosen; the first one unless the address names another.
    key : str
        Of the widget.
    """
    state, written = st.session_state, f"{key}.address"
    asked = st.query_params.get(name, "")
    if asked in choices and (asked != state.get(written) or key not in state):
        state[key] = asked
    elif state.get(key) not in choices:
        state[key] = choices[0]
    yield key
    st.query_params[name] = state[written] = state[key]


def fault(words: str) -> None:
    """What is wrong with a field, under it."""
    st.markdown(f":material/error: **{plain(words)}**")


def wrong(found: Mapping[str, str], *, at: Sequence[str] = ()) -> None:
    """That nothing was kept, and what does not stand at a field of the form."""
    if found:
        st.error(say("front.facts.faults"))
    for name, words in found.items():
        if name not in at:
            fault(f"{name} {words}")


def script(text: str) -> None:
    """Run a script in the page."""
    st.html(f"<script>{text}</script>", unsafe_allow_javascript=True)


def focus(key: str) -> None:
    """Take the person to the field of that key: it is scrolled to and has the cursor."""
    script(f"setTimeout(() => document.querySelector('.st-key-{_class_of(key)} input')?.focus(), 300)")


def scroll_to(key: str) -> None:
    """Scroll to the container of that key."""
    found = f"document.querySelector('.st-key-{_class_of(key)}')"
    script(f"setTimeout(() => {found}?.scrollIntoView({{block: 'center'}}), 300)")


def focus_cell(key: str, row: int, label: str) -> None:
    """Take the person to a cell of a grid: it is scrolled to and chosen, and a key that is typed replaces it.

    Parameters
    ----------
    key : str
        Of the grid.
    row : int
        Counted from 1.
    label : str
        Head of the column.
    """
    where = {"grid": f".st-key-{_class_of(key)}", "row": row, "label": label}
    script(f"{{ const at = {json.dumps(where)}; {FOCUS_CELL} }}")  # in a block: it may run more than once


def _class_of(key: str) -> str:
    """The class that the framework gives a widget of that key."""
    return "".join(letter if letter.isalnum() or letter in "-_" else "-" for letter in key.strip())


def faults(error: StudyError) -> list[dict[str, str]]:
    """What is wrong, where, what was found and what was expected."""
    return [
        {
            say("front.fault.where"): " ".join(filter(None, [fault.file, str(fault.row or ""), fault.column])),
            say("front.fault.found"): message(fault.found),
            say("front.fault.expected"): message(fault.expected),
        }
        for fault in error.faults
    ]


def points() -> None:
    """In a case with a decimal comma: that the framework's own fields and sliders write a point."""
    if session.decimal() == "comma":
        st.caption(say("front.points"))


def safety(key: str = "front.safety") -> None:
    """What the screen does not cover, and to whom it defers."""
    st.caption(say(key))


def empty(key: str, **values: Any) -> None:
    """A page that has nothing to show yet says what it is for and what to do first."""
    st.info(say(key, **values))


def undo() -> None:
    """The button that takes back the last change of the case, and whose change that is."""
    last = session.last_change()
    st.button(say("front.case.undo"), on_click=session.undo, disabled=last is None or not session.may("edit"))
    if last is not None:
        st.caption(plain(say("front.case.undone_next", no=last.revision, who=last.who, why=last.why)))


def saved_since(changes: Sequence[str]) -> None:
    """What somebody else saved since a form was opened, and a button that shows the form as it is now."""
    if changes:
        st.info(plain(say("front.facts.since", changes="; ".join(changes))))
        st.button(say("front.facts.anew"), on_click=session.begin_forms)


def still(names: Sequence[str], key: str) -> list[str]:
    """Names to choose from, and the chosen one though somebody else removed it: what is typed there stays."""
    chosen = st.session_state.get(key)
    return [*names, *([chosen] if chosen is not None and chosen not in names else [])]


def held(key: str, first: Any) -> None:
    """Let the widget of that key show what was left in it when the page was last turned; else what it begins with."""
    st.session_state.setdefault(key, st.session_state.get(f"{key}.held", first))


def hold(*keys: str) -> None:
    """Keep what stands in widgets of these keys: the framework forgets it when the page is turned."""
    st.session_state.update({f"{key}.held": st.session_state[key] for key in keys})


def next_choice(key: str, name: str) -> None:
    """What the widget of that key shows in the next run: after a save the row that was saved, under its own name."""
    st.session_state[f"{key}.next"] = name


def choose_next(key: str) -> None:
    """Take over what was left for the widget of that key; call it before the widget is drawn."""
    if (name := st.session_state.pop(f"{key}.next", None)) is not None:
        st.session_state[key] = name
