# longer because pace, the mix of lifts and the working of both stand on one screen
"""The part of Handling on pace: index against molds per hour, and the mix of lifts."""

from collections.abc import Sequence
from typing import Any

import streamlit as st

from coreset.brief import say, tables_charts
from coreset.brief.say_handling_crew import mix_sentence
from coreset.brief.say_handling_more import crossing_rows
from coreset.brief.working_several import working_of_composite, working_of_variable
from coreset.case import Case
from coreset.charts import handling as charts
from coreset.handling import mix
from coreset.handling.job import index_at, job_of
from coreset.pages import parts, session


def show(case: Case, standards: Sequence[Any]) -> None:
    """A pattern's index under every method, against pace; then the variable index over the job mix."""
    patterns = list(dict.fromkeys(lift.pattern for lift in case.lifts))
    pattern = st.selectbox(
        say("handling.page.pattern"), patterns, key="handling_pace_pattern", help=parts.word("pattern")
    )
    found = session.once(lambda: mix.curves(case, standards, pattern), "curves", pattern)
    if not found:
        parts.empty("handling.page.no_standard")
    else:
        parts.picture(lambda: charts.pace(found), "pace", pattern, table=tables_charts.pace(found))
        parts.rows(crossing_rows(found))
        st.caption(say("handling.caution.cli"))
        for curve in found:
            job = job_of(case, pattern=pattern, method=curve.method)
            lines = working_of_composite(job, index_at(job, curve.standard_per_h))
            parts.working(
                lines if curve.kind == "CLI" else [], label=say("handling.composite.working", method=curve.method)
            )
    pair = (case.baseline, case.candidate)
    for method in pair:
        mixed, rotated = session.once(lambda m=method: _mixes(case, standards, m), "mixes", method)
        if mixed.variable:
            st.markdown(parts.plain(mix_sentence(mixed, rotated)))
            parts.picture(lambda m=mixed: charts.mix(m, pair), "mix", method, table=tables_charts.mix(mixed))
            parts.working(working_of_variable(mixed.variable), label=say("handling.mix.working", method=method))
            parts.working(working_of_variable(mixed.gridded), label=say("handling.mix.grid_working", method=method))


def _mixes(case: Case, standards: Sequence[Any], method: str) -> tuple[Any, Any]:
    """All lifts of a year as one job, and as a rotation."""
    return mix.job_mix(case, standards, method=method), mix.rotation(case, standards, method=method)
