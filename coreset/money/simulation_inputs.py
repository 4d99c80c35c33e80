"""Every uncertain input of the money as named draws. In: a case and the line's rates. Out: one `Sample`."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coreset.case import Case, Money, Range
from coreset.money.distributions import at
from coreset.money.inputs import MONEY
from coreset.money.scrap import ScrapFinding, difference_draws

RANGES = frozenset(field.name for field in fields(Money) if field.type == "Range")
PRICES = tuple(key for key in MONEY if key in RANGES)
"""Fields of `Money` that are ranges and hold for the whole plant; the input has the field's name."""
MASK = "mask_cost"
PER_PATTERN = ("molds_per_year", "margin_per_casting", "extra_molds_per_year")
"""Fields of `Pattern` that are ranges; the input is `<field>.<pattern>`."""
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

    def __getitem__(self, name: str) -> NDArray[np.float64] | float:
        return self.values[name]

    @property
    def uncertain(self) -> tuple[str, ...]:
        """Names of the inputs that vary."""
        return tuple(name for name, value in self.values.items() if np.ndim(value))

    def changed(self, values: Mapping[str, Any]) -> Sample:
        """The same sample with some inputs replaced by name."""
        return replace(self, values={**self.values, **values})

    def rows(self, start: int, stop: int) -> Sample:
        """A run of draws."""
        cut = {name: value[start:stop] if np.ndim(value) else value for name, value in self.values.items()}
        return Sample(n=stop - start, values=cut)

    def centre(self) -> Sample:
        """One draw at the mean of every input."""
        return Sample(n=1, values={name: float(np.mean(value)) for name, value in self.values.items()})

    def spread(self, name: str) -> tuple[float, float, float]:
        """Low (10 %), middle and high (90 %) of one input."""
        low, middle, high = np.quantile(self.values[name], [LOW, 0.5, HIGH])
        return float(low), float(middle), float(high)


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
        Ranges, their meaning, and the correlation of volumes and margins.
    rates : iterable of Rate
        Molds an hour by pattern and method, each with draws from the line's replications.
    findings : iterable of ScrapFinding
        What the scrap counts say.
    draws : int
        Number of draws. [-]
    seed : int
        Seed; the same seed gives the same draws.

    Returns
    -------
    Sample
    """
    rng = np.random.default_rng(seed)
    meaning = case.money.range_meaning
    values: dict[str, Any] = {}
    for name in PRICES:
        values[name] = _figure(getattr(case.money, name), meaning, draws, rng)
    values[MASK] = _figure(case.money.mask_cost, meaning, draws, rng)
    for pattern in case.patterns:
        values |= _of_pattern(case, pattern, draws, rng)
    for rate in rates:
        values[f"rate.{rate.pattern}.{rate.method}"] = _resampled(rate, draws, rng)
    for finding in findings:
        if finding.counts:
            values[f"scrap.{finding.pattern}"] = difference_draws(finding, draws, rng)
    return Sample(n=draws, values=values)


def _figure(figure: Range, meaning: str, draws: int, rng: np.random.Generator, z: Any = None) -> Any:
    if figure.known:
        return float(figure.likely)
    return at(figure, rng.standard_normal(draws) if z is None else z, meaning)


def _of_pattern(case: Case, pattern: Any, draws: int, rng: np.random.Generator) -> dict[str, Any]:
    """Volume, margin (correlated as the case says), demand, mask and hold of one pattern."""
    meaning, rho = case.money.range_meaning, case.money.volume_margin_correlation
    volume = rng.standard_normal(draws)
    margin = rho * volume + np.sqrt(1.0 - rho * rho) * rng.standard_normal(draws)
    scores = {"molds_per_year": volume, "margin_per_casting": margin, "extra_molds_per_year": None}
    found = {
        f"{name}.{pattern.pattern}": _figure(getattr(pattern, name), meaning, draws, rng, z)
        for name, z in scores.items()
    }
    found[f"runs.{pattern.pattern}"] = float(pattern.runs_per_year)
    if pattern.mask_cost is not None:
        found[f"{MASK}.{pattern.pattern}"] = _figure(pattern.mask_cost, meaning, draws, rng)
    if pattern.hold_chance < 1.0:
        found[f"held.{pattern.pattern}"] = (rng.random(draws) < pattern.hold_chance).astype(float)
    return found


def _resampled(rate: Any, draws: int, rng: np.random.Generator) -> NDArray[np.float64] | float:
    known = np.asarray(rate.draws, dtype=float)
    if known.size < 2 or np.ptp(known) == 0.0:
        return float(known[0] if known.size else rate.molds_per_h)
    return known[rng.integers(0, known.size, draws)]
