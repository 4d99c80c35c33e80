"""Every chart that the tool can draw of a case, each by a name that says what it shows. In: assessment and detail."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

from coreset.brief import charts
from coreset.brief.detail import Detail
from coreset.brief.pictures import Picture, picture
from coreset.lifting import task_values
from coreset.lifting.charts import indices, side_view
from coreset.lifting.report import redesign as more
from coreset.lifting.report import sentences as words
from coreset.lifting.report import status
from coreset.lifting.report.task_table import task_rows
from coreset.line.charts import activity, bridge, stations, track
from coreset.money import charts as money
from coreset.study.charts import rating_test, series, standard_data, standards
from coreset.study.rating_test import of_observer

ODD = re.compile(r"[^A-Za-z0-9-]+")


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """One chart to be drawn: what it shows, by which function, of what."""

    name: str
    draw: Callable[..., Any]
    parts: tuple[Any, ...]


def every(assessment: Any, found: Detail) -> tuple[Drawing, ...]:
    """All drawings, in the order of the work; no two of one name.

    Parameters
    ----------
    assessment : Assessment
        The whole job.
    found : Detail
        What the pages calculate beside it.
    """
    taken: dict[str, int] = {}
    drawings = []
    for room in (_brief, _studies, _standards, _cycles, _handling, _line, _money):
        for name, draw, *parts in room(assessment, found):
            stem = ODD.sub("_", name).strip("_")
            taken[stem] = taken.get(stem, 0) + 1
            numbered = stem if taken[stem] == 1 else f"{stem}_{taken[stem]}"
            drawings.append(Drawing(name=numbered, draw=draw, parts=tuple(parts)))
    return tuple(drawings)


def drawn(drawings: tuple[Drawing, ...], *, progress: Callable[[float], None] = lambda _: None) -> dict[str, Picture]:
    """The drawings as pictures by name; one whose figures are wanting is left out."""
    pictures = {}
    for done, drawing in enumerate(drawings):
        progress(done / len(drawings))
        if (chart := drawing.draw(*drawing.parts)) is not None:
            pictures[drawing.name] = picture(drawing.name, chart)
    return pictures


Drawings = Iterator[tuple[Any, ...]]


def _brief(assessment: Any, _: Detail) -> Drawings:
    if assessment.money is not None:
        yield "cash_flow", charts.cash_flow, assessment.money
        yield "drivers", charts.drivers, assessment.money
    if assessment.mold_cycles:
        yield "mold_cycles", charts.mold_cycles, assessment.case, assessment.mold_cycles
    if any(row.li is not None for row in assessment.handling):
        yield "worst_indices", charts.worst_indices, assessment.case, assessment.handling


def _studies(_: Any, found: Detail) -> Drawings:
    for name, row in found.series.items():
        yield f"cycles_in_order_{name}", series.run_chart, row, found.ordered[name]
        yield f"steps_between_cycles_{name}", series.moving_range, row, found.ordered[name]
        yield f"shape_of_cycles_{name}", series.histogram, row, found.shapes[name]
        yield f"precision_by_cycles_{name}", series.precision, row


def _standards(assessment: Any, found: Detail) -> Drawings:
    case = assessment.case
    if assessment.pooled:
        yield "standard_times", standards.overview, list(assessment.pooled.values()), case
    for row in assessment.standards:
        yield f"elements_{row.study or f'{row.pattern}_{row.method}'}", standards.elements, row
    for pair in found.pairs:
        yield f"methods_compared_{pair.pattern}", standards.densities, pair, case
    for observer in dict.fromkeys(row.observer for row in case.raters):
        yield f"rater_check_{observer}", rating_test.rater_check, of_observer(case.raters, observer)
    for one in found.data:
        for e in one.elements:
            yield f"standard_data_{one.method}_{e.element}", standard_data.standard_data, one, e, case


def _cycles(assessment: Any, found: Detail) -> Drawings:
    case = assessment.case
    for pattern, changes in found.changes.items():
        own = {row.method: row for row in assessment.mold_cycles if row.pattern == pattern}
        rows = [own[method] for method in (case.baseline, case.candidate) if method in own] or list(own.values())
        yield f"who_does_what_when_{pattern}", activity.activity, rows, case.baseline
        if changes:
            yield f"cycle_after_changes_{pattern}", activity.what_if, changes
        for change in changes:
            yield f"before_and_after_{change.code}_{pattern}", activity.before_after, change


def _handling(assessment: Any, found: Detail) -> Drawings:
    case = assessment.case
    methods = words.methods_of(assessment.handling, case.baseline, case.candidate)
    for scheme in status.schemes() if found.tasks else ():
        rows = task_rows(assessment.handling, case.units, scheme=scheme, spreads=found.spreads)
        yield f"lifting_index_by_task_{scheme}", indices.all_tasks, rows, methods
    for pattern, curves in found.curves.items():
        if curves:
            yield f"lifting_index_by_pace_{pattern}", indices.pace, curves
    for row, task, ideals in found.tasks:
        yield f"lift_from_the_side_{row.task}_{row.method}", side_view.side_view, task_values.linked(task), case.units
        parts = (
            more.ideal_rows(ideals),
            more.known(float(task_values.index_of(task))),
            case.place.lifting_index_limit,
        )
        yield f"ideal_effects_{row.task}_{row.method}", indices.ideal_effects, *parts
    for method, mixed in found.mixes.items():
        if mixed.variable:
            yield f"lifts_of_the_job_mix_{method}", indices.mix, mixed, (case.baseline, case.candidate)


def _line(assessment: Any, found: Detail) -> Drawings:
    case = assessment.case
    if assessment.line:
        yield "molds_per_hour", stations.rates, case, assessment.line
    for one in assessment.bridges:
        yield f"from_stopwatch_to_schedule_{one.pattern}", bridge.bridge, one
    for pattern, closer in found.closer.items():
        if closer.methods:
            yield f"line_as_a_mold_travels_it_{pattern}", track.track, case, closer, assessment.mold_cycles
            yield f"time_of_stations_{pattern}", stations.shares, closer
        if closer.gains:
            yield f"gain_of_changes_{pattern}", stations.gains, closer
    for row in found.fits:
        yield f"vacuum_and_leak_{row.pattern}", stations.fit, case, row


def _money(assessment: Any, _: Detail) -> Drawings:
    decision = assessment.money
    if decision is None:
        return
    yield "discounted_sum_by_year", money.cash_flow, decision
    yield "chance_of_payback_by_year", money.payback_chance, decision
    yield "first_running_year_item_by_item", money.waterfall, decision
    yield "present_value_by_input", money.tornado, decision
    yield "saving_by_pattern", money.pattern_savings, decision
    yield "saving_by_run_and_cores", money.run_length, decision
    yield "present_value_by_way", money.ways, decision
