"""The part of Handling on redesign: one task with live sliders, what improves it, the smallest change."""

from collections.abc import Sequence
from functools import cache, partial
from itertools import cycle
from typing import Any

import streamlit as st

from coreset.case import Case, Lift
from coreset.lifting import buildable, controls, lever_ranges, redesign, task_values
from coreset.lifting.apply_change import kept
from coreset.lifting.charts.indices import ideal_effects
from coreset.lifting.charts.side_view import side_view
from coreset.lifting.constants import COUPLINGS
from coreset.lifting.lift_end import rate
from coreset.lifting.report import chart_tables
from coreset.lifting.report import redesign as words
from coreset.lifting.report.lever_working import working_of_levers
from coreset.lifting.report.measures import measure_rows
from coreset.lifting.report.sentences import task_sentence, weighed
from coreset.lifting.report.status import part_sentence
from coreset.lifting.report.uncertainty import sureness_sentence
from coreset.lifting.report.working import working_of
from coreset.lifting.uncertainty import with_errors
from coreset.pages.parts import layout, results
from coreset.text import say
from coreset.web import session


def redesign_of_lift(case: Case, screened: Sequence[Any], spread: Sequence[Any]) -> None:
    """Choose a task, worst first, and change it."""
    order = session.once(lambda: weighed(screened), "weighed")
    name = st.selectbox(say("handling.page.task"), list(order), key="handling_task", help=layout.word("lifting_index"))
    if name is None:
        return
    place = order[name]
    row, lift = screened[place], case.lifts[place]
    task = task_values.task_at(case, lift, row)
    st.markdown(layout.plain(task_sentence(row, case.units)))
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
    layout.points()
    task = controls.about(task, depth)
    sliders(case, lift, task, row.li)
    solver(case, lift, task, row)
    results.rows(lambda: _measures(case, task, lift), "measures", place, task)
    if sure := spread[place]:
        st.caption(layout.plain(sureness_sentence(sure)))
    for end, posture in task_values.ends_of(task).items():
        label = say("handling.page.working", end=say(f"handling.end.{end}"))
        results.working(partial(_rated, posture, row.mass), "task", row.mass, posture, label=label)


@st.fragment
def sliders(case: Case, lift: Any, task: Any, before: float | None) -> None:
    """Values of the task by slider, its index live, the side view beside them."""
    st.header(say("handling.page.live"), anchor=False)
    left, right = st.columns([1, 2], gap="large")
    values = {}
    for name in task_values.VARIABLES:
        low, high, step = lever_ranges.slider(name, task)
        label = say("handling.page.slider", what=words.variable(name), unit=words.unit_of(name, case.units))
        values[name] = left.slider(
            label,
            low,
            high,
            float(task.values[name]),
            step,
            "%.1f",
            key=f"{lift.task}_{name}",
            help=layout.field(Lift, name),
        )
    hold = left.selectbox(
        say("handling.page.hold"),
        COUPLINGS,
        COUPLINGS.index(task.coupling),
        key=f"{lift.task}_hold",
        help=layout.word("coupling"),
    )
    now = controls.moved(task, values, hold)
    with right:
        below = task_values.below_floor(now)
        layout.answer(
            words.live_sentence(float(task_values.index_of(now)), before, task_values.binding_of(now), below=below)
        )
        if below:
            return
        results.picture(
            lambda: side_view(task_values.linked(now), case.units),
            "side",
            now,
            table=lambda: chart_tables.side(task_values.linked(now), case.units),
        )
        rows = cache(lambda: words.ideal_rows(redesign.ideal_multipliers(now)))
        results.picture(
            lambda: _ideal_effects(case, now, rows()),
            "ideal_effects",
            now,
            table=lambda: chart_tables.ideal_effects(rows()),
        )
    results.working(lambda: working_of_levers(now), "levers", now, label=say("handling.page.geometry"))
    typed = left.text_input(say("handling.page.reason"), key=f"{lift.task}_why", help=layout.word("origin_of_a_figure"))
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
def solver(case: Case, lift: Lift, task: Any, row: Any) -> None:
    """The smallest changes within ranges that the user sets."""
    st.header(say("handling.page.solve"), anchor=False)
    usual = lever_ranges.allowed(task, case.place.steps_allowed)
    chosen = st.multiselect(
        say("handling.page.free"),
        list(usual),
        list(usual),
        format_func=words.variable,
        key=f"{row.task}_free",
        help=layout.word("methods_that_fit"),
    )
    spans = {}
    for column, name in zip(cycle(st.columns(3)), chosen, strict=False):
        low, high, step = lever_ranges.slider(name, task)
        spans[name] = column.slider(
            say("handling.page.span", what=words.variable(name), unit=words.unit_of(name, case.units)),
            low,
            high,
            usual[name],
            step,
            "%.1f",
            key=f"{row.task}_range_{name}",
            help=layout.field(Lift, name),
        )
    target = st.number_input(
        say("handling.page.wanted"),
        0.1,
        None,
        case.place.lifting_index_limit,
        0.1,
        key="handling_wanted",
        help=layout.word("lifting_index"),
    )
    with st.spinner(say("handling.page.searching")):
        found = session.once(lambda: _changes(case, lift, task, spans, target), "changes", lift, task, spans, target)
        box = session.once(lambda: _core_box(case, lift, task, target), "core_box", lift, task, target)
    part = part_sentence(row)
    said, margin = words.redesign_parts(found, case.units, target=target, at_least=row.at_least, part=part)
    layout.answer(said)
    core_box = words.core_box_sentence(box, case.units, row.mass) if lift.core else ""
    room = words.room_sentence(task, [*found.singles, found.total or found.best])
    results.sentences([room, margin, core_box], show=st.caption)
    if found.singles:
        results.rows([{say("handling.column.single"): words.change_text(one, case.units)} for one in found.singles])
    if found.total:
        moved = controls.moved(task, found.total.after, task.coupling)
        results.working(lambda: working_of_levers(moved), "levers", moved, label=say("handling.page.geometry"))


def _ideal_effects(case: Case, task: Any, rows: Any) -> Any:
    """What improves a task most, as a chart."""
    now = words.known(float(task_values.index_of(task)))
    return ideal_effects(rows, now, case.place.lifting_index_limit)


def _measures(case: Case, task: Any, lift: Any) -> list[dict[str, str]]:
    """What each measure taken as a whole would do."""
    return measure_rows(controls.whole_measures(task, lift, hours=case.place.hours_per_shift), case.units)


def _rated(posture: Any, mass: float) -> Sequence[Any]:
    """The working of an index at one end of a lift."""
    return working_of(posture, rate(posture), mass=mass)


def _changes(case: Case, lift: Lift, task: Any, spans: dict[str, Any], target: float) -> Any:
    """The changes that are enough alone, and the smallest one of all, in steps that can be built."""
    rated, assumed = with_errors(lift, units=case.units)
    place = case.place
    return buildable.redesign_of(
        task,
        rated,
        spans,
        target=target,
        height_step=place.height_step,
        hours=place.hours_per_shift,
        assumed=assumed,
    )


def _core_box(case: Case, lift: Lift, task: Any, target: float) -> Any:
    """What the core may be at this reach and pace."""
    return buildable.core_box(task, with_errors(lift, units=case.units)[0], target=target)
