# longer because each of its fields carries its help
"""The part of Cycles on one study: order, shape, how many cycles, odd readings."""

from collections.abc import Sequence
from typing import Any

import streamlit as st

from coreset.brief import say, say_study, tables_study
from coreset.charts import study as charts
from coreset.pages import cycles_more, parts
from coreset.study.describe import describe
from coreset.study.order import in_order
from coreset.study.series import every_series
from coreset.study.shapes import fits_or_none


def show(studies: Sequence[Any], standards: Sequence[Any]) -> None:
    """One study of the pattern, element by element."""
    left, right = st.columns(2)
    study = left.selectbox(
        say("study.cycles.study"), studies, format_func=say_study.study_label, help=parts.word("reading")
    )
    every = {row.element: row for row in every_series(study)}
    series = every[
        right.selectbox(
            say("study.cycles.element"), list(every), format_func=say_study.name_of, help=parts.word("element")
        )
    ]
    ordered = in_order(series.kept)
    order, shape, needed, odd = st.tabs([say(f"study.cycles.tab_{tab}") for tab in ("order", "shape", "needed", "odd")])
    with order:
        parts.chart(charts.run_chart(series, ordered))
        cycles_more.sentences(say_study.order_findings(series, ordered))
        parts.chart(charts.moving_range(series, ordered), tables_study.tests(ordered))
    with shape:
        fitted = fits_or_none(series.kept)
        parts.chart(charts.histogram(series, fitted), tables_study.shapes(fitted))
        cycles_more.sentences([say_study.shape_sentence(fitted, series)])
        parts.rows(tables_study.described(describe(series.kept)))
    with needed:
        cycles_more.needed(series, list(every.values()))
    with odd:
        cycles_more.odd(series, next((row for row in standards if row.study == study.study), None))
