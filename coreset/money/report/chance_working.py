"""The working of what the money's draws say: intervals, chances, losses, worth of knowing everything."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from coreset.money.decision import Decision
from coreset.money.report.sentences import way_name
from coreset.money.simulation_inputs import HIGH, LOW
from coreset.report.numbers import listed, number
from coreset.report.run_working import counted, mean_of, nth, seeded, three
from coreset.sources import used
from coreset.text import say
from coreset.working import Working

ENDS = {"low": LOW, "high": HIGH}
THREE = (LOW, 0.5, HIGH)


def chances(d: Decision) -> list[Working]:
    """Every figure of the answer that is drawn, with the counts, the places in order or the sums behind it."""
    return [*_chances(d), *_intervals(d), *_losses(d), *_knowing(d), *_patterns(d)]


def _word(key: str, /, **blanks: object) -> str:
    return say(f"money.working.{key}", **blanks)


def _chances(d: Decision) -> Iterator[Working]:
    where, back = seeded(d.seed), d.payback_draws
    yield counted(_word("chance"), "n(NPV > 0) / n", d.npv_draws > 0, where=where)
    if d.payback_limit_years:
        limit = f"{d.payback_limit_years:g}"
        yield counted(_word("chance_limit", years=limit), f"n(T ≤ {limit}) / n", back <= d.payback_limit_years,
                      where=where)  # fmt: skip
    for year in range(1, d.years + 1):
        by_then = back <= year
        if year != d.payback_limit_years and 0 < by_then.sum() < len(back):
            yield counted(_word("chance_year", year=year), f"n(T ≤ {year}) / n", by_then, where=where)


def _intervals(d: Decision) -> Iterator[Working]:
    where = seeded(d.seed)
    yield mean_of(_word("saving"), "Σx / n", d.saving_draws, unit=d.currency, where=where)
    drawn = {
        "saving": (d.saving_draws, d.currency),
        "npv": (d.npv_draws, d.currency),
        "payback_drawn": (d.payback_draws, _word("years")),
        "discounted_drawn": (d.discounted_payback_draws, _word("years")),
    }
    for name, (draws, unit) in drawn.items():
        for end, share in ENDS.items():
            yield nth(_word(f"end_{end}", what=_word(name)), draws, share, unit=unit, where=where)


def _losses(d: Decision) -> Iterator[Working]:
    """The runs that lose: how many, how much on average in those; then the expected loss and gain over all runs."""
    where = seeded(d.seed)
    yield counted(_word("loses"), "n(NPV < 0) / n", d.npv_draws < 0, where=where)
    if d.mean_loss_if_it_loses:
        lost = -d.npv_draws[d.npv_draws < 0]
        yield mean_of(_word("loss"), "Σ max(0, −NPV) / n(NPV < 0)", lost, unit=d.currency, where=where)
    for name, lost, formula in (
        ("bought", np.maximum(0.0, -d.npv_draws), "Σ max(0, −NPV) / n"),
        ("missed", np.maximum(0.0, d.npv_draws), "Σ max(0, NPV) / n"),
    ):
        yield mean_of(_word(name), formula, lost, unit=d.currency, where=where)


def _knowing(d: Decision) -> Iterator[Working]:
    """Best choice draw by draw against the one that is best on the mean."""
    names = [_word("as_today"), *(way_name(row.name) for row in d.alternatives)]
    made = d.perfect
    best_in = [_word("best_in", name=name, count=number(n)) for name, n in zip(names, made.best_in, strict=True) if n]
    sums = [f"{number(value * d.draws)} / {number(d.draws)}" for value in (made.of_each_draw, made.on_the_mean)]
    unit, where = d.currency, seeded(d.seed)
    counts = f"{sums[0]}; {listed(best_in)}"
    yield Working(what=_word("each_draw"), formula="Σ max(0, NPV₁, NPV₂, …) / n", numbers=counts,
                  value=made.of_each_draw, unit=unit, where=where)  # fmt: skip
    yield Working(what=_word("on_the_mean", name=names[made.best]), formula="max(0, ΣNPV₁/n, ΣNPV₂/n, …)",
                  numbers=sums[1], value=made.on_the_mean, unit=unit, where=where)  # fmt: skip
    yield Working(what=_word("evpi"), symbol="EVPI", formula=_word("evpi_formula"),
                  numbers=f"{number(made.of_each_draw)} − {number(made.on_the_mean)}", value=d.evpi, unit=unit,
                  where=where, **used("raiffa1961", "INFO-runs"))  # fmt: skip


def _patterns(d: Decision) -> Iterator[Working]:
    """Saving, run and volume of each pattern, which are drawn on the first of the draws only."""
    where = seeded(d.seed)
    for row in d.patterns:
        for name, draws in row.draws.items():
            unit = d.currency if name == "saving" else _word("molds")
            what = _word(f"pattern_{name}", pattern=row.pattern)
            if name == "saving":
                yield mean_of(what, "Σx / n", draws, unit=unit, where=where)
            if np.isfinite(np.quantile(draws, LOW, method="higher")):
                yield three(_word("ends_of", what=what), draws, THREE, unit=unit, where=where)
