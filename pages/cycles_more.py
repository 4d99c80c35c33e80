"""The parts of Cycles on how many cycles more, and on readings that look odd."""

from collections.abc import Iterable, Sequence
from typing import Any

import streamlit as st

from coreset.brief import say_study, tables_study
from coreset.brief.working_study import of_needed
from coreset.charts import study as charts
from coreset.pages import parts


def sentences(lines: Iterable[str]) -> None:
    """Sentences, one under the other."""
    for line in lines:
        st.markdown(parts.plain(line))


def needed(series: Any, every: Sequence[Any]) -> None:
    """Precision reached, and how many cycles it would take."""
    parts.chart(charts.precision(series), tables_study.forms(series))
    sentences(say_study.needed_sentences(series, every))
    parts.working(of_needed(series))


def odd(series: Any, standard: Any) -> None:
    """Readings that look odd or were set aside; the standard with and without."""
    sentences(say_study.odd_sentences(series, standard))
    if lines := tables_study.odd(series):
        parts.rows(lines)
