"""The part of Standard on one study: its elements, allowances, time balance, other units, working."""

from collections.abc import Sequence
from functools import cache
from typing import Any

import streamlit as st

from coreset.bodywork.report import rest
from coreset.bodywork.static_hold import holds
from coreset.bodywork.workload import workloads
from coreset.case import Case
from coreset.pages.parts import layout, results
from coreset.study.charts import standards as charts
from coreset.study.report import sentences, standard_data, tables
from coreset.study.report.working import of_pooled, of_standard, of_units, set_up_sentence
from coreset.text import say
from coreset.web import session


def standard_of_pattern(case: Case, rows: Sequence[Any], found: Any) -> Any:
    """One standard of the pattern, as it was chosen."""
    told = {"help": layout.word("standard_time"), "format_func": lambda i: session.in_manner(sentences.label(rows[i]))}
    row = rows[st.selectbox(say("study.cycles.study"), range(len(rows)), **told)]
    of = (row.pattern, row.method, row.study)
    study = next((study for study in case.studies if study.study == row.study), None)
    results.picture(lambda: charts.elements(row), "elements", *of, table=lambda: tables.elements(row))
    results.sentences(lambda: sentences.standard_sentences(row, study), "standard", *of)
    pooled = found.pooled.get((row.pattern, row.method))
    results.sentences(lambda: sentences.crew_sentences(pooled), "crew", *of)
    results.working(lambda: _working(case, row, rows, found), "standard", *of)
    left, right = st.columns(2)
    with left:
        st.header(say("study.standard.section_allowances"), anchor=False)
        results.rows(lambda: tables.allowances(row), "allowances", *of)
        results.sentences(lambda: [" ".join(sentences.allowance_sentences(row))], "allowances", *of, show=st.caption)
        st.subheader(say("study.rest.title"), anchor=False)
        held = cache(lambda: (workloads(case, [row]), holds(case, row.pattern, row.method, [row])))
        results.rows(lambda: rest.rest_rows(row, *held()), "rest", *of)
        st.caption(say("study.rest.note"))
        results.working(lambda: rest.rest_working(row, *held()), "rest", *of, label=say("study.rest.working"))
    with right:
        st.header(say("study.standard.section_units"), anchor=False)
        results.rows(lambda: tables.in_units(case, row), "in_units", *of)
        molds = st.number_input(
            say("study.standard.run"), min_value=1, value=sentences.run_molds(case, row), help=layout.word("run")
        )
        minutes = st.number_input(
            say("study.standard.set_up"), min_value=0.0, value=case.setter.mask_change_min, help=layout.word("set_up")
        )
        layout.points()
        shared = {"set_up_min": minutes, "run_molds": molds}
        results.sentences([set_up_sentence(row, **shared)])
        results.working(lambda: of_units(case, row, **shared), "in_units", *of, shared)
    if row.balance is not None:
        st.header(say("study.standard.section_balance"), anchor=False)
        results.sentences(lambda: [sentences.balance_sentence(row)], "balance", *of)
        results.rows(lambda: tables.balance(row), "balance", *of)
    return row


def _working(case: Case, row: Any, rows: Sequence[Any], found: Any) -> list[Any]:
    """How the standard of one study came about, or was estimated, and what all studies together give."""
    own = of_standard(row, seed=found.seed) or standard_data.of_estimate(case, row, found.pooled, seed=found.seed)
    return [*own, *of_pooled(found.pooled[row.pattern, row.method], rows, seed=found.seed)]
