"""The result of one study: its standard so far, element by element, and what is still needed."""

from __future__ import annotations

import streamlit as st

from coreset.case import Case, Study
from coreset.pages.parts import layout, results
from coreset.pages.time_study.clock.desk import progress_of, standard_of_study
from coreset.study.charts import standards as charts
from coreset.study.report import sentences, tables
from coreset.study.report.progress import FEWEST_CYCLES
from coreset.text import say
from coreset.web import navigation


def standard_so_far(case: Case, study: Study) -> None:
    """Figures, the elements as a chart with its table, the allowances, and a link to all standard times."""
    so_far = progress_of(case, study)
    layout.figures(so_far.figures)
    if so_far.rests_on:
        st.caption(layout.plain(" ".join(so_far.rests_on)))
    row = standard_of_study(case, study)
    if row is None:
        st.info(say("timing.progress.no_figures", cycles=FEWEST_CYCLES))
        return
    of = study.study
    results.picture(lambda: charts.elements(row), "so_far.elements", of, table=lambda: tables.elements(row))
    results.sentences(lambda: sentences.standard_sentences(row, study), "so_far.standard", of)
    results.rows(lambda: tables.allowances(row), "so_far.allowances", of)
    navigation.link("standard", say("timing.progress.go_standard"))
