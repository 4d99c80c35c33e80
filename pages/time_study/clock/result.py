"""The result of one study: its standard so far, element by element, and what is still needed."""

from __future__ import annotations

import streamlit as st

from coreset.case import Case, Study
from coreset.pages.parts import layout, results
from coreset.study.charts import standards as charts
from coreset.study.report import sentences, tables
from coreset.study.report.progress import FEWEST_CYCLES, progress, standard_so_far
from coreset.text import say
from coreset.web import navigation, session


def show(case: Case, study: Study) -> None:
    """Figures, the elements as a chart with its table, the allowances, and a link to all standard times."""
    layout.figures(session.once(lambda: progress(case, study), "progress", study.study).figures)
    row = session.once(lambda: standard_so_far(case, study), "standard_so_far", study.study)
    if row is None:
        st.info(say("timing.progress.no_figures", cycles=FEWEST_CYCLES))
        return
    of = ("so_far", study.study)
    results.picture(lambda: charts.elements(row), "elements", *of, table=lambda: tables.elements(row))
    results.sentences(lambda: sentences.standard_sentences(row, study), "standard", *of)
    results.rows(lambda: tables.allowances(row), "allowances", *of)
    navigation.link("standard", say("timing.progress.go_standard"))
