"""What pages show of results: a chart with its table, rows, sentences, working; what is named is written once."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Mapping, Sequence
from contextlib import nullcontext
from typing import Any

import streamlit as st

from coreset.pages.parts import written
from coreset.pages.parts.layout import figures, word
from coreset.pages.parts.written import plain
from coreset.report import look
from coreset.report.numbers import number
from coreset.text import say
from coreset.web import session
from coreset.working import Working

Table, Lines = Iterable[Mapping[str, Any]] | Any, Sequence[Working]


def chart(drawn: Any, table: Iterable[Mapping[str, Any]] | Any = None, text: str = "") -> None:
    """A chart in the page's look, with its words for those who cannot see it and the figures behind it.

    Parameters
    ----------
    drawn : altair chart
        From a function of a room's `charts`.
    table : rows or data frame, optional
        The figures behind it; columns have units in their names.
    text : str
        Text alternative; the chart's own description if empty.
    """
    _show(look.dressed(drawn, decimal=session.decimal()), table, text)


def picture(
    draw: Callable[[], Any], *of: object, table: Table | Callable[[], Table] | None = None, least: bool = False
) -> None:
    """A chart as `chart` shows it, drawn once for the same content of the case and the same choice.

    Parameters
    ----------
    draw : callable
        Draws it; None is no picture.
    *of
        Its name, then all that was chosen for it.
    table : rows or data frame, or callable, optional
        The figures behind it; what makes them is called once for the same content and choice.
    least : bool
        Whether it keeps the least width at which its words fit, and scrolls sideways on a narrower screen.
    """
    spec = session.worded(lambda: _dressed(draw()), "picture", session.decimal(), *of)
    if spec is not None:
        with st.container(key=f"wide_{'_'.join(map(str, of))}") if least else nullcontext():
            _show(json.loads(spec), table, of=("behind", *of))


def pickable(draw: Callable[[], Any], *of: object, key: str, picked: Callable[[Any], Any]) -> None:
    """A chart as `picture` shows it, in which one mark can be picked.

    Parameters
    ----------
    draw : callable
        Draws it, with one selection by one field.
    *of
        Its name, then all that was chosen for it.
    key : str
        Of the widget.
    picked : callable
        Called with the field's value of the mark that was picked, before the page is drawn again.
    """
    spec = json.loads(session.worded(lambda: _dressed(draw()) or "", "picture", session.decimal(), *of))
    words = spec.pop("description", "")
    _titled(spec)

    def select() -> None:
        [choice] = st.session_state[key].selection.values() or [[]]
        for mark in choice[:1]:
            picked(next(iter(mark.values())))

    st.vega_lite_chart(spec, width="stretch", theme=None, alt=words, key=key, on_select=select)


def _dressed(drawn: Any) -> str | None:
    """A chart as text: a tenth of the room that it takes as nested values, and read sooner than those are copied."""
    return None if drawn is None else json.dumps(look.dressed(drawn, decimal=session.decimal()))


def _show(spec: dict[str, Any], table: Any, text: str = "", of: tuple[object, ...] = ()) -> None:
    words = text or spec.get("description", "")
    if "layer" in spec or "mark" in spec:
        spec["autosize"] = {"type": "fit-x", "contains": "padding"}
    spec.pop("description", None)  # said by `alt`; the framework warns of both
    with st.container(gap="xxsmall"):
        _titled(spec)
        st.vega_lite_chart(spec, width="stretch", theme=None, alt=words)
    if table is not None:
        with st.expander(say("front.figures")):
            rows(table, *of)


def _titled(spec: dict[str, Any]) -> None:
    """The finding of a chart as text above it: there it wraps, in a narrow chart it is cut off."""
    title = spec.pop("title", "")
    parts = title if isinstance(title, dict) else {"text": title}
    if words := parts.get("text"):
        said = written.begun(words if isinstance(words, str) else " ".join(words))
        spec["usermeta"] = {"title": said}
        st.markdown(f"**{plain(said)}**")
    if more := parts.get("subtitle"):
        st.caption(plain(more if isinstance(more, str) else " ".join(more)))
    spec["padding"] = {"left": 5, "top": 5, "right": 24, "bottom": 5}  # for a figure at the end of the longest bar


def rows(table: Table | Callable[[], Table], *of: object) -> None:
    """A table as it would be printed; text in it is shown as it was typed, numbers stand to the right.

    It is sent as text: that costs a tenth of what a data frame with a style costs at each run of a page.

    Parameters
    ----------
    table : rows or data frame, or callable
        What makes them is called once for the same content of the case and the same choice.
    *of
        With a callable: its name, then all that was chosen for it.
    """
    made = session.worded(lambda: written.table(table()), "rows", *of) if callable(table) else written.table(table)
    sent(made)


def sent(made: written.Text) -> None:
    """A table that is written already, and that there are more rows if there are."""
    if made.count:
        st.markdown(made.text)
    if made.count > written.MOST_ROWS:
        st.caption(say("front.rows_shown", shown=written.MOST_ROWS, all=number(made.count)))


def as_read(table: Iterable[Mapping[str, Any]]) -> list[dict[str, Any]]:
    """Rows for a table that scrolls: numbers and days as the case wants them, no markup to guard against."""
    return [{k: session.in_manner(v) if isinstance(v, str) else v for k, v in row.items()} for row in table]


def decision(assessment: Any) -> str:
    """The decision in one sentence, written once for the same case."""
    from coreset.decision import headline  # not with the frame of the page: it loads the array library

    return session.worded(lambda: headline.decision(assessment), "decision")


def decision_figures(assessment: Any) -> None:
    """The figures that the decision is judged by."""
    from coreset.decision import headline

    figures(session.once(lambda: headline.figures(assessment), "brief.figures"))


def cash_flow(assessment: Any) -> None:
    """The cash flow of the purchase with its figures; nothing where no money is known."""
    from coreset.brief import charts, page_tables
    from coreset.decision.recommendation import of_the_purchase

    if (money := assessment.money) is not None:
        sentences(lambda: of_the_purchase(assessment), "brief.of_the_purchase", show=st.caption)
        picture(lambda: charts.cash_flow(money), "brief.cash_flow", table=lambda: page_tables.named("flow", assessment))


def sentences(
    lines: Iterable[str] | Callable[[], Iterable[str]], *of: object, show: Callable[[str], Any] = st.markdown
) -> None:
    """Sentences, one under the other, set by `show`; a callable and its names as with `rows`."""
    for line in session.worded(lambda: _guarded(lines()), "sentences", *of) if callable(lines) else _guarded(lines):
        show(line)


def _guarded(lines: Iterable[str]) -> tuple[str, ...]:
    return tuple(plain(line) for line in lines if line)


def working(lines: Lines | Callable[[], Lines], *of: object, label: str = "") -> None:
    """How the figures came about, line by line, behind a fold; a callable and its names as with `rows`.

    Of more lines than are shown, those of a pattern or a word can be asked for.
    """
    kept = callable(lines)
    made = session.worded(lambda: written.working(lines()), "working", *of) if kept else written.working(lines)
    if made.count:
        with st.expander(plain(label) or say("front.working")):
            if kept and made.count > written.MOST_ROWS:
                about = st.text_input(
                    say("front.working_about"), key=repr(("about", *of)), help=say("front.about_help")
                )
                if about:
                    made = session.worded(lambda: written.working(lines(), about), "about", about, *of)
                    if not made.count:
                        st.caption(say("front.no_working"))
            sent(made)


def working_one(places: Mapping[str, int], lines: Callable[[int], Lines], *, key: str) -> None:
    """One of several workings, chosen by what it is of: a case may have hundreds.

    Parameters
    ----------
    places : mapping
        What each is of, and its place.
    lines : callable
        Gives the lines of the one at a place.
    key : str
        Name of the list and of its workings.
    """
    if places:
        of = st.selectbox(say("front.working_one"), list(places), key=key, help=word("origin_of_a_figure"))
        working(lambda: lines(places[of]), key, of)


def steps(lines: Lines) -> None:
    """Lines of working as a table, in the open."""
    sent(written.working(lines))
