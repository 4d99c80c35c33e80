# longer because it is four tabs of one page
"""The tabs of Cycles: a series in its order, its shape, how many cycles more, readings that look odd."""

from collections.abc import Iterable
from typing import Any, NamedTuple

import streamlit as st

from coreset.brief import say_study, tables_charts, tables_study
from coreset.brief.working_study import of_needed
from coreset.charts import study as charts
from coreset.pages import parts
from coreset.study.describe import describe
from coreset.study.order import in_order
from coreset.study.shapes import MANY, fits_or_none
from coreset.study.tries import broken, of_series


class Part(NamedTuple):
    """What a tab shows: one series of a study, its fellows, the study's standard if there is one."""

    series: Any
    study: Any
    every: tuple[Any, ...]
    standard: Any


def sentences(lines: Iterable[str]) -> None:
    """Sentences, one under the other."""
    for line in filter(None, lines):
        st.markdown(parts.plain(line))


def order(part: Part) -> None:
    """The times as they came, and the steps between them."""
    ordered = in_order(part.series.kept)
    parts.chart(charts.run_chart(part.series, ordered), tables_charts.run_chart(part.series))
    sentences(say_study.order_findings(part.series, ordered))
    parts.chart(charts.moving_range(part.series, ordered), tables_study.tests(ordered))


def shape(part: Part) -> None:
    """Their spread with fitted curves; tries that were broken off enter as lower bounds."""
    series, element = part.series, part.series.element
    times, done = of_series(part.study, element) if broken(part.study, element) else (series.kept, None)
    fitted, seen = fits_or_none(times, done), times if done is None else times[done]
    parts.chart(charts.histogram(series, fitted, seen), tables_study.shapes(fitted))
    sentences([say_study.shape_sentence(fitted, seen), say_study.tries_sentence(times, done, MANY)])
    parts.rows(tables_study.described(describe(series.kept)))


def needed(part: Part) -> None:
    """Precision reached, and how many cycles it would take."""
    parts.chart(charts.precision(part.series), tables_study.forms(part.series))
    sentences(say_study.needed_sentences(part.series, part.every))
    parts.working(of_needed(part.series))


def odd(part: Part) -> None:
    """Readings that look odd or were set aside; the standard with and without."""
    sentences(say_study.odd_sentences(part.series, part.standard))
    if lines := tables_study.odd(part.series):
        parts.rows(lines)
