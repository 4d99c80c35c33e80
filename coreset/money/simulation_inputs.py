"""Every uncertain input of the money as named draws. In: a case and the line's rates. Out: one `Sample`."""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coreset.case import Case, Money, Option, Range, most, range_names
from coreset.line.today import factor_noise
from coreset.money.distributions import at, quantiles
from coreset.money.inputs import OF_MONEY
from coreset.money.scrap import ScrapFinding, difference_draws
from coreset.money.streams import chances, scores, stream, tied_scores

OF_PLANT = tuple(key for key in OF_MONEY if key in range_names(Money))
"""Fields of `Money` that are ranges and hold for the whole plant; the input has the field's name."""
PEOPLE = ("line_crew", "hours_saved_paid")
PRICES = tuple(key for key in OF_PLANT if key not in PEOPLE)
"""Those of them that are prices and costs, which are correlated with each other as the case says."""
MASK = "mask_cost"
PER_PATTERN = ("molds_per_year", "margin_per_casting", "extra_molds_per_year")
"""Fields of `Pattern` that are ranges; the input is `<field>.<pattern>`."""
MARKET, PRICE_LEVEL = "market", "price level"
"""Streams that correlated volumes, and correlated prices and costs, share."""
Tied = tuple[str, str, float, int, int]
"""Arguments of `tied_scores`: name of the input, stream that it shares, correlation, seed, runs."""
COLUMNS = 64
"""Inputs whose runs are kept: 0.8 MB each at 100,000 runs."""
LOW, HIGH = 0.1, 0.9
"""Chances shown as low and high of any drawn figure."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sample:
    """Draws of every input by name, each (n,) or a constant; all of one n.

    Names: a field of `Money`, `<field>.<pattern>`, `rate.<pattern>.<method>` in molds per scheduled hour,
    `runs.<pattern>` a year, `scrap.<pattern>` as the rate saved, `held.<pattern>` as 1 or 0.
    """

    n: int
    values: Mapping[str, NDArray[np.float64] | float]
    _spreads: dict[str, tuple[float, float, float]] = field(init=False, default_factory=dict, compare=False, repr=False)
    _means: dict[str, float] = field(init=False, default_factory=dict, compare=False, repr=False)

    def __getitem__(self, name: str) -> NDArray[np.float64] | float:
        return self.values[name]

    @property
    def uncertain(self) -> tuple[str, ...]:
        """Names of the inputs that vary."""
        return tuple(name for name, value in self.values.items() if np.ndim(value))

    def changed(self, values: Mapping[str, Any]) -> Sample:
        """The same sample with some inputs replaced by name."""
        return replace(self, values={**self.values, **values})

    def without(self, names: Collection[str]) -> Sample:
        """The same sample without some inputs."""
        found = replace(self, values={name: value for name, value in self.values.items() if name not in names})
        found._spreads.update({name: value for name, value in self._spreads.items() if name not in names})
        found._means.update({name: value for name, value in self._means.items() if name not in names})
        return found

    def rows(self, start: int, stop: int) -> Sample:
        """A run of draws."""
        cut = {
            name: value[start:stop] if isinstance(value, np.ndarray) and value.ndim else value
            for name, value in self.values.items()
        }
        return Sample(n=stop - start, values=cut)

    def centre(self) -> Sample:
        """One draw at the mean of every input."""
        if not self._means:
            self._means.update({name: float(np.mean(value)) for name, value in self.values.items()})
        return Sample(n=1, values=dict(self._means))

    def repeated(self, times: int) -> Sample:
        """The same draws so many times, one after another."""
        values = {name: np.tile(value, times) if np.ndim(value) else value for name, value in self.values.items()}
        return Sample(n=self.n * times, values=values)

    def spread(self, name: str) -> tuple[float, float, float]:
        """Low (10 %), middle and high (90 %) of one input."""
        if name not in self._spreads:
            low, middle, high = quantiles(np.atleast_1d(self.values[name]), (LOW, 0.5, HIGH))
            self._spreads[name] = (low, middle, high)
        return self._spreads[name]


def draw(
    case: Case,
    rates: Iterable[Any],
    findings: Iterable[ScrapFinding],
    *,
    draws: int,
    seed: int,
) -> Sample:
    """Draw every input; known figures stay single numbers.

    Parameters
    ----------
    case : Case
        Ranges, their meaning, and the correlations of volumes, margins and prices.
    rates : iterable of Rate
        Molds an hour by pattern and method, each with draws from the line's replications.
    findings : iterable of ScrapFinding
        What the scrap counts say.
    draws : int
        Number of draws. [-]
    seed : int
        Seed; the same seed gives the same draws. Each input has a stream of its own, named after it.

    Returns
    -------
    Sample
    """
    values = {name: _of_plant(case.money, name, draws, seed) for name in (*OF_PLANT, MASK)}
    for pattern in case.patterns:
        values |= _of_pattern(case, pattern, draws, seed)
    for option in case.options:
        values |= _of_option(case.money, option, draws, seed)
    for rate in rates:
        name = f"rate.{rate.pattern}.{rate.method}"
        values[name] = _resampled(rate, draws, stream("rates", seed)) * _common(rate, draws, seed)
    for finding in findings:
        if finding.counts:
            name = f"scrap.{finding.pattern}"
            values[name] = difference_draws(finding, draws, stream(name, seed))
    return Sample(n=draws, values=values)


def _of_plant(money: Money, name: str, draws: int, seed: int) -> NDArray[np.float64] | float:
    """Runs of one input of the plant, prices correlated with each other as the case says; 0 where it is not entered."""
    figure: Range | None = getattr(money, name)
    if figure is None or figure.known:
        return float(figure.likely) if figure else 0.0
    tie = 0.0 if name in PEOPLE else money.price_correlation
    return _runs(figure, money.range_meaning, (name, PRICE_LEVEL, tie, seed, draws), most(Money, name))


def _of_option(money: Money, option: Option, draws: int, seed: int) -> dict[str, NDArray[np.float64] | float]:
    """Runs of the prices that an option states itself, correlated with the others as the case says."""
    found = {}
    for key, figure in option.stated(Money).items():
        if isinstance(figure, Range):
            name = f"{key}.{option.option}"
            found[name] = _figure(
                figure, money.range_meaning, (name, PRICE_LEVEL, money.price_correlation, seed, draws)
            )
    return found


def _figure(figure: Range, meaning: str, tied: Tied) -> NDArray[np.float64] | float:
    return float(figure.likely) if figure.known else _runs(figure, meaning, tied)


@lru_cache(maxsize=COLUMNS)
def _runs(figure: Range, meaning: str, tied: Tied, most: float = math.inf) -> NDArray[np.float64]:
    """Runs of one range from its own stream: kept, since of a changed case most inputs are as they were; read only."""
    found = at(figure, tied_scores(*tied), meaning, most)
    found.setflags(write=False)
    return found


def _of_pattern(case: Case, pattern: Any, draws: int, seed: int) -> dict[str, Any]:
    """Volume, margin (correlated as the case says), demand, mask and hold of one pattern."""
    code, money = pattern.pattern, case.money
    rho = money.volume_margin_correlation
    volume, margin, extra = (f"{name}.{code}" for name in PER_PATTERN)

    of_volume = (volume, MARKET, money.volume_correlation, seed, draws)
    ranges: dict[str, tuple[Range, Tied]] = {
        volume: (pattern.molds_per_year, of_volume),
        margin: (pattern.margin_per_casting, _alone(margin, seed, draws)),
        extra: (pattern.extra_molds_per_year, _alone(extra, seed, draws)),
    }
    if pattern.mask_cost is not None:
        mask = f"{MASK}.{code}"
        ranges[mask] = (pattern.mask_cost, (mask, PRICE_LEVEL, money.price_correlation, seed, draws))
    found = {name: _figure(figure, money.range_meaning, tied) for name, (figure, tied) in ranges.items()}
    if rho and not pattern.margin_per_casting.known:
        scored = rho * tied_scores(*of_volume) + np.sqrt(1.0 - rho * rho) * scores(margin, seed, draws)
        found[margin] = at(pattern.margin_per_casting, scored, money.range_meaning)
    found[f"runs.{code}"] = float(pattern.runs_per_year)
    if pattern.hold_chance < 1.0:
        held = f"held.{code}"
        found[held] = (chances(held, seed, draws) < pattern.hold_chance).astype(float)
    return found


def _alone(name: str, seed: int, draws: int) -> Tied:
    return name, "", 0.0, seed, draws


def tied_groups(money: Money, names: Iterable[str]) -> dict[str, list[str]]:
    """Uncertain inputs that are correlated with each other, by the first of them; each other input by itself.

    Examples
    --------
    >>> from coreset.case import Range
    >>> money = Money(setter_price=Range.exactly(1), wage_per_h=Range.exactly(1), discount_rate=0.1)
    >>> tied_groups(replace(money, volume_correlation=0.3), ["molds_per_year.A", "residual", "molds_per_year.B"])
    {'molds_per_year.A': ['molds_per_year.A', 'molds_per_year.B'], 'residual': ['residual']}
    """
    names, tie = list(names), {}
    for name in names:
        kind, _, code = name.partition(".")
        volume = f"molds_per_year.{code}"
        with_volume = kind == "margin_per_casting" and money.volume_margin_correlation and volume in names
        if money.volume_correlation and (kind == "molds_per_year" or with_volume):
            tie[name] = MARKET
        elif with_volume:
            tie[name] = tie[volume] = volume
        elif money.price_correlation and (kind in PRICES or kind == MASK):
            tie[name] = PRICE_LEVEL
    groups: dict[str, list[str]] = {}
    for name in names:
        groups.setdefault(tie.get(name, name), []).append(name)
    return {group[0]: group for group in groups.values()}


def _common(rate: Any, draws: int, seed: int) -> NDArray[np.float64] | float:
    """What the factor between count and prediction does to all rates of a run alike; 1 without a count."""
    sd = getattr(rate, "factor_sd", 0.0)
    return factor_noise(draws, sd, seed) if sd > 0 else 1.0


def _resampled(rate: Any, draws: int, rng: np.random.Generator) -> NDArray[np.float64] | float:
    """Draws of a rate drawn again: the same rows of every rate, since what errs in one row errs in all of them."""
    known = np.asarray(rate.draws, dtype=float)
    if known.size < 2 or np.ptp(known) == 0.0:
        return float(known[0] if known.size else rate.molds_per_h)
    return known[rng.integers(0, known.size, draws)]
