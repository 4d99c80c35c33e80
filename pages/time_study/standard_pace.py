# longer because each of its fields carries its help
"""The parts of Standard on judging by difficulty, and on one operator with several machines."""

from typing import Any

import streamlit as st

from coreset.case import Case
from coreset.pages.parts import layout, results
from coreset.study.report import machines as say_machines
from coreset.study.report import objective_rating
from coreset.text import say


def rate(row: Any) -> None:
    """An element or the study rated by its pace, with an addition for the difficulty of the job."""
    left, right = st.columns(2)
    known = objective_rating.times(row)
    told = {"format_func": objective_rating.name_of, "help": layout.word("element")}
    element = left.selectbox(say("study.pace.what"), list(known), **told)
    pace = right.number_input(say("study.pace.pace"), min_value=1.0, value=100.0, step=5.0, help=layout.word("rating"))
    layout.points()
    codes = []
    for (factor, choices), column in zip(objective_rating.factors().items(), st.columns(3), strict=True):
        told = {"format_func": choices.get, "help": layout.word("difficulty_of_the_job")}
        codes.append(column.selectbox(factor, list(choices), **told))
    lines = objective_rating.working(known[element], pace_pct=pace, codes=codes, scale_name=row.rating_scale)
    st.markdown(layout.plain(objective_rating.sentence(lines)))
    results.steps(lines)


def machines(case: Case, row: Any) -> None:
    """Service, machine time and costs in; how many machines one operator can serve out."""
    st.caption(say("study.machines.note"))
    given, told = {}, {"help": layout.word("service_of_machines")}
    for (name, value), column in zip(
        say_machines.asked(case, row).items(), st.columns(5, vertical_alignment="bottom"), strict=True
    ):
        least = say_machines.LEAST.get(name, 0.0)
        given[name] = column.number_input(say(f"study.machines.{name}"), min_value=least, value=value, **told)
    layout.points()
    st.markdown(layout.plain(say_machines.sentence(**given)))
    results.rows(say_machines.machine_rows(**given))
    results.steps(say_machines.working(**given))
    st.subheader(say("study.machines.examples"), anchor=False)
    results.rows(say_machines.examples())
    results.steps(say_machines.bare_machine())
