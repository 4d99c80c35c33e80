"""The part of Handling on pace: index against molds per hour, and the mix of lifts."""

from collections.abc import Sequence
from functools import partial
from typing import Any

import streamlit as st

from coreset.case import Case
from coreset.lifting import pace_and_mix
from coreset.lifting.charts import indices as charts
from coreset.lifting.job import index_at, job_of
from coreset.lifting.report import chart_tables
from coreset.lifting.report.composite_working import working_of_composite, working_of_variable
from coreset.lifting.report.exposure import mix_paces, mix_sentence
from coreset.lifting.report.redesign import crossing_rows, pace_limits
from coreset.pages.parts import layout, results
from coreset.text import say
from coreset.web import session


def index_by_pace(case: Case, standards: Sequence[Any]) -> None:
    """A pattern's index under every method, against pace; then the variable index over the job mix."""
    patterns = list(dict.fromkeys(lift.pattern for lift in case.lifts))
    pattern = st.selectbox(
        say("handling.page.pattern"), patterns, key="handling_pace_pattern", help=layout.word("pattern")
    )
    found = session.once(lambda: pace_and_mix.curves(case, standards, pattern), "curves", pattern)
    if not found:
        layout.empty("handling.page.no_standard")
    else:
        results.picture(lambda: charts.pace(found), "pace", pattern, table=lambda: chart_tables.pace(found))
        results.rows(lambda: crossing_rows(found), "crossings", pattern)
        st.caption(layout.plain(" ".join([pace_limits(found), say("handling.caution.cli")])))
        for curve in (curve for curve in found if curve.kind == "CLI"):
            results.working(
                lambda curve=curve: _composite(case, pattern, curve),
                "composite",
                pattern,
                curve.method,
                label=say("handling.composite.working", method=curve.method),
            )
    pair = (case.baseline, case.candidate)
    for method in pair:
        mixed, rotated = session.once(lambda m=method: _mixes(case, standards, m), "mixes", method)
        if mixed.variable:
            st.markdown(layout.plain(mix_sentence(mixed, rotated)))
            results.sentences([mix_paces(mixed)], show=st.warning)
            behind = partial(chart_tables.mix, mixed)
            results.picture(lambda m=mixed: charts.mix(m, pair), "mix", method, table=behind)
            for name, index in (("working", mixed.variable), ("grid_working", mixed.gridded)):
                label = say(f"handling.mix.{name}", method=method)
                results.working(partial(working_of_variable, index), "mix", name, method, label=label)


def _composite(case: Case, pattern: str, curve: Any) -> Sequence[Any]:
    """The working of a composite index at standard pace."""
    job = job_of(case, pattern=pattern, method=curve.method)
    return working_of_composite(job, index_at(job, curve.standard_per_h))


def _mixes(case: Case, standards: Sequence[Any], method: str) -> tuple[Any, Any]:
    """All lifts of a year as one job, and as a rotation."""
    return pace_and_mix.job_mix(case, standards, method=method), pace_and_mix.rotation(case, standards, method=method)
