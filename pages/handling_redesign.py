# longer because the sliders, the solver and the working of one task stand on one screen
"""The part of Handling on redesign: one task with live sliders, what mends it, the smallest change."""

from collections.abc import Sequence
from functools import cache, partial
from itertools import cycle
from typing import Any

import streamlit as st

from coreset.brief import say, tables_charts
from coreset.brief import say_handling_more as words
from coreset.brief.say_handling import task_sentence, weighed
from coreset.brief.working_handling import working_of
from coreset.brief.working_levers import working_of_levers
from coreset.case import Case, Lift
from coreset.charts.handling import mends
from coreset.charts.handling_side import side_view
from coreset.handling import ends, measures, ranges, redesign
from coreset.handling.constants import COUPLINGS
from coreset.handling.keep import kept
from coreset.handling.rating import rate
from coreset.pages import parts, results, session


def show(case: Case, screened: Sequence[Any], spread: Sequence[Any]) -> None:
    """Choose a task, worst first, and change it."""
    order = session.once(lambda: weighed(screened), "weighed")
    name = st.selectbox(say("handling.page.task"), list(order), key="handling_task", help=parts.word("lifting_index"))
    if name is None:
        return
    place = order[name]
    row, lift = screened[place], case.lifts[place]
    task = ends.task_at(case, lift, row)
    st.markdown(parts.plain(task_sentence(row, case.units)))
    if not row.applies:
        return
    unit, free = words.unit_of("platform", case.units), words.free_reach(case.units)
    depth = st.number_input(
        say("handling.page.depth", unit=unit),
        0.0,
        None,
        task.depth,
        1.0,
        "%.1f",
        key=f"{lift.task}_depth",
        help=say("handling.page.depth_help", free=free, unit=unit),
    )
    parts.points()
    task = measures.about(task, depth)
    sliders(case, lift, task, row.li)
    solver(case, task, row)
    results.rows(lambda: _measures(case, task, lift), "measures", place, task)
    if sure := spread[place]:
        st.caption(parts.plain(words.sureness_sentence(sure)))
    for end, posture in ends.ends_of(task).items():
        label = say("handling.page.working", end=say(f"handling.end.{end}"))
        results.working(partial(_rated, posture, row.mass), "task", row.mass, posture, label=label)


@st.fragment
def sliders(case: Case, lift: Any, task: Any, before: float | None) -> None:
    """Values of the task by slider, its index live, the side view beside them."""
    st.header(say("handling.page.live"), anchor=False)
    left, right = st.columns([1, 2], gap="large")
    values = {}
    for name in ends.VARIABLES:
        low, high, step = ranges.slider(name, task)
        label = say("handling.page.slider", what=words.variable(name), unit=words.unit_of(name, case.units))
        values[name] = left.slider(
            label,
            low,
            high,
            float(task.values[name]),
            step,
            "%.1f",
            key=f"{lift.task}_{name}",
            help=parts.field(Lift, name),
        )
    hold = left.selectbox(
        say("handling.page.hold"),
        COUPLINGS,
        COUPLINGS.index(task.coupling),
        key=f"{lift.task}_hold",
        help=parts.word("coupling"),
    )
    now = measures.moved(task, values, hold)
    with right:
        below = ends.below_floor(now)
        parts.answer(words.live_sentence(float(ends.index_of(now)), before, ends.binding_of(now), below=below))
        if below:
            return
        results.picture(
            lambda: side_view(ends.linked(now), case.units),
            "side",
            now,
            table=lambda: tables_charts.side(ends.linked(now), case.units),
        )
        rows = cache(lambda: words.mend_rows(redesign.mended(now)))
        results.picture(lambda: _mends(case, now, rows()), "mends", now, table=lambda: tables_charts.mends(rows()))
    results.working(lambda: working_of_levers(now), "levers", now, label=say("handling.page.geometry"))
    typed = left.text_input(say("handling.page.reason"), key=f"{lift.task}_why", help=parts.word("origin_of_a_figure"))
    why = words.reason_text(typed)
    if left.button(
        say("handling.page.keep"),
        help=say("handling.page.keep_help"),
        key=f"{lift.task}_keep",
        disabled=not session.may("edit"),
    ):
        with session.told():
            session.keep(kept(case, lift, task, now, reason=why), words.kept_text(lift.task, task, now, why))
        st.rerun()


@st.fragment
def solver(case: Case, task: Any, row: Any) -> None:
    """The smallest changes within ranges that the user sets."""
    st.header(say("handling.page.solve"), anchor=False)
    usual = ranges.allowed(task, case.place.steps_allowed)
    chosen = st.multiselect(
        say("handling.page.free"),
        list(usual),
        list(usual),
        format_func=words.variable,
        key=f"{row.task}_free",
        help=parts.word("methods_that_fit"),
    )
    spans = {}
    for column, name in zip(cycle(st.columns(3)), chosen, strict=False):
        low, high, step = ranges.slider(name, task)
        spans[name] = column.slider(
            say("handling.page.span", what=words.variable(name), unit=words.unit_of(name, case.units)),
            low,
            high,
            usual[name],
            step,
            "%.1f",
            key=f"{row.task}_range_{name}",
            help=parts.field(Lift, name),
        )
    target = st.number_input(
        say("handling.page.wanted"),
        0.1,
        None,
        case.place.lifting_index_limit,
        0.1,
        key="handling_wanted",
        help=parts.word("lifting_index"),
    )
    with st.spinner(say("handling.page.searching")):
        singles, total = session.once(lambda: _changes(task, spans, target), "changes", task, spans, target)
    parts.answer(words.redesign_sentence(row, singles, total, case.units, target=target))
    if singles:
        results.rows([{say("handling.column.single"): words.change_text(one, case.units)} for one in singles])
    if total:
        moved = measures.moved(task, total.after, task.coupling)
        results.working(lambda: working_of_levers(moved), "levers", moved, label=say("handling.page.geometry"))


def _mends(case: Case, task: Any, rows: Any) -> Any:
    """What mends a task most, as a chart."""
    now = words.known(float(ends.index_of(task)))
    return mends(rows, now, case.place.lifting_index_limit)


def _measures(case: Case, task: Any, lift: Any) -> list[dict[str, str]]:
    """What each measure taken as a whole would do."""
    return words.measure_rows(measures.whole_measures(task, lift, hours=case.place.hours_per_shift), case.units)


def _rated(posture: Any, mass: float) -> Sequence[Any]:
    """The working of an index at one end of a lift."""
    return working_of(posture, rate(posture), mass=mass)


def _changes(task: Any, spans: dict[str, Any], target: float) -> tuple[Any, Any]:
    """The changes that are enough alone, and the smallest one of all."""
    single = redesign.single_changes(task, spans, target=target)
    return single, redesign.smallest_change(task, spans, target=target)
