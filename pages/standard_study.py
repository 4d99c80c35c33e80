# longer because each of its fields carries its help
"""The part of Standard on one study: its elements, allowances, time balance, other units, working."""

from collections.abc import Sequence
from functools import cache
from typing import Any

import streamlit as st

from coreset.brief import say, say_data, say_rest, say_study, tables_study
from coreset.brief.working_study import of_pooled, of_standard, of_units
from coreset.case import Case
from coreset.charts import standards as charts
from coreset.handling.static import holds
from coreset.handling.workload import workloads
from coreset.pages import parts, results, session


def show(case: Case, rows: Sequence[Any], found: Any) -> Any:
    """One standard of the pattern, as it was chosen."""
    told = {"help": parts.word("standard_time"), "format_func": lambda i: session.in_manner(say_study.label(rows[i]))}
    row = rows[st.selectbox(say("study.cycles.study"), range(len(rows)), **told)]
    of = (row.pattern, row.method, row.study)
    study = next((study for study in case.studies if study.study == row.study), None)
    results.picture(lambda: charts.elements(row), "elements", *of, table=lambda: tables_study.elements(row))
    results.sentences(lambda: say_study.standard_sentences(row, study), "standard", *of)
    results.working(lambda: _working(case, row, rows, found), "standard", *of)
    left, right = st.columns(2)
    with left:
        st.header(say("study.standard.section_allowances"), anchor=False)
        results.rows(lambda: tables_study.allowances(row), "allowances", *of)
        results.sentences(lambda: [" ".join(say_study.allowance_sentences(row))], "allowances", *of, show=st.caption)
        st.subheader(say("study.rest.title"), anchor=False)
        held = cache(lambda: (workloads(case, [row]), holds(case, row.pattern, row.method, [row])))
        results.rows(lambda: say_rest.rest_rows(row, *held()), "rest", *of)
        st.caption(say("study.rest.note"))
        results.working(lambda: say_rest.rest_working(row, *held()), "rest", *of, label=say("study.rest.working"))
    with right:
        st.header(say("study.standard.section_units"), anchor=False)
        results.rows(lambda: tables_study.in_units(case, row), "in_units", *of)
        molds = st.number_input(
            say("study.standard.run"), min_value=1, value=say_study.run_molds(case, row), help=parts.word("run")
        )
        minutes = st.number_input(
            say("study.standard.set_up"), min_value=0.0, value=case.setter.mask_change_min, help=parts.word("set_up")
        )
        parts.points()
        results.sentences([say_study.set_up_sentence(row, minutes, molds)])
        shared = {"set_up_min": minutes, "run_molds": molds}
        results.working(lambda: of_units(case, row, **shared), "in_units", *of, shared)
    if row.balance is not None:
        st.header(say("study.standard.section_balance"), anchor=False)
        results.sentences(lambda: [say_study.balance_sentence(row)], "balance", *of)
        results.rows(lambda: tables_study.balance(row), "balance", *of)
    return row


def _working(case: Case, row: Any, rows: Sequence[Any], found: Any) -> list[Any]:
    """How the standard of one study came about, or was estimated, and what all studies together give."""
    own = of_standard(row, seed=found.seed) or say_data.of_estimate(case, row, found.pooled, seed=found.seed)
    return [*own, *of_pooled(found.pooled[row.pattern, row.method], rows, seed=found.seed)]
