"""The tabs of Cycles: a series in its order, its shape, how many cycles more, readings that look odd."""

from functools import cache
from typing import Any, NamedTuple

from coreset.pages.parts import results
from coreset.study.attempts import broken, of_series
from coreset.study.charts import series as charts
from coreset.study.descriptive import describe
from coreset.study.distribution_fit import fits_or_none
from coreset.study.report import chart_tables, sentences, tables
from coreset.study.report.progress import counted_sentences
from coreset.study.report.working import of_needed
from coreset.study.run_order import in_order


class Part(NamedTuple):
    """What a tab shows: one series of a study, its fellows, the study's standard if there is one."""

    series: Any
    study: Any
    every: tuple[Any, ...]
    standard: Any

    @property
    def of(self) -> tuple[str, str]:
        """What was chosen: the study and its element."""
        return self.study.study, self.series.element


class Shape(NamedTuple):
    """Times of an element, which of them were carried through, the fitted curves, and the times that these show."""

    times: Any
    done: Any
    fitted: Any
    seen: Any


def order(part: Part) -> None:
    """The times as they came, and the steps between them."""
    series = part.series
    ordered = cache(lambda: in_order(series.kept))  # only if something of it has to be written anew
    results.picture(
        lambda: charts.run_chart(series, ordered()),
        "run_chart",
        *part.of,
        table=lambda: chart_tables.run_chart(series),
    )
    results.sentences(lambda: sentences.order_findings(series, ordered()), "order", *part.of)
    results.picture(
        lambda: charts.moving_range(series, ordered()),
        "moving_range",
        *part.of,
        table=lambda: tables.tests(ordered()),
    )


def shape(part: Part) -> None:
    """Their spread with fitted curves; tries that were broken off enter as lower bounds."""
    series, found = part.series, cache(lambda: shape_of(part))
    results.picture(
        lambda: charts.histogram(series, found().fitted, found().seen),
        "histogram",
        *part.of,
        table=lambda: tables.shapes(found().fitted),
    )
    results.sentences(lambda: shape_said(found()), "shape", *part.of)
    results.rows(lambda: tables.described(describe(series.kept)), "described", *part.of)


def shape_of(part: Part) -> Shape:
    """The curves that fit an element's times."""
    broke = broken(part.study, part.series.element)
    times, done = of_series(part.study, part.series.element) if broke else (part.series.kept, None)
    fitted = fits_or_none(times, done)
    return Shape(times, done, fitted, times if done is None else times[done])


def shape_said(found: Shape) -> tuple[str, str]:
    """Which curve fits best, and what the tries tell."""
    fit = sentences.shape_sentence(found.fitted, found.seen)
    return fit, sentences.tries_sentence(found.times, found.done)


def needed(part: Part) -> None:
    """Precision reached, and how many cycles it would take."""
    series = part.series
    results.picture(lambda: charts.precision(series), "precision", *part.of, table=lambda: tables.forms(series))
    results.sentences(lambda: sentences.needed_sentences(series, part.every), "needed", *part.of)
    results.sentences(lambda: counted_sentences(part.standard), "counted", *part.of)
    results.working(lambda: of_needed(series), "needed", *part.of)


def odd(part: Part) -> None:
    """Readings that look odd or were set aside; the standard with and without."""
    results.sentences(lambda: sentences.odd_sentences(part.series, part.standard), "odd", *part.of)
    results.rows(lambda: tables.odd(part.series), "odd", *part.of)
