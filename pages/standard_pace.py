# longer because each of its fields carries its help
# longer because each of its fields carries its help
"""The parts of Standard on judging by difficulty, and on one operator with several machines."""

from typing import Any

import streamlit as st

from coreset.brief import say, say_machines, say_pace
from coreset.case import Case
from coreset.pages import parts, results


def rate(row: Any) -> None:
    """An element or the study rated by its pace, with an addition for the difficulty of the job."""
    left, right = st.columns(2)
    known = say_pace.times(row)
    told = {"format_func": say_pace.name_of, "help": parts.word("element")}
    element = left.selectbox(say("study.pace.what"), list(known), **told)
    pace = right.number_input(say("study.pace.pace"), min_value=1.0, value=100.0, step=5.0, help=parts.word("rating"))
    parts.points()
    codes = []
    for (factor, choices), column in zip(say_pace.factors().items(), st.columns(3), strict=True):
        told = {"format_func": choices.get, "help": parts.word("difficulty_of_the_job")}
        codes.append(column.selectbox(factor, list(choices), **told))
    lines = say_pace.working(known[element], pace_pct=pace, codes=codes, scale_name=row.rating_scale)
    st.markdown(parts.plain(say_pace.sentence(lines)))
    results.steps(lines)


def machines(case: Case, row: Any) -> None:
    """Service, machine time and costs in; how many machines one operator can serve out."""
    st.caption(say("study.machines.note"))
    given, told = {}, {"help": parts.word("service_of_machines")}
    for (name, value), column in zip(
        say_machines.asked(case, row).items(), st.columns(5, vertical_alignment="bottom"), strict=True
    ):
        least = say_machines.LEAST.get(name, 0.0)
        given[name] = column.number_input(say(f"study.machines.{name}"), min_value=least, value=value, **told)
    parts.points()
    st.markdown(parts.plain(say_machines.sentence(**given)))
    results.rows(say_machines.rows(**given))
    results.steps(say_machines.working(**given))
    st.subheader(say("study.machines.examples"), anchor=False)
    results.rows(say_machines.examples())
    results.steps(say_machines.bare_machine())
