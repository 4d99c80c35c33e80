"""Buying a year later, with the volumes known, against buying now; and what changes if a program ends early.

In: what is weighed. Out: `Waiting`.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from coreset.money.cash_flow import flows
from coreset.money.discount import npv
from coreset.money.simulation_inputs import Sample
from coreset.money.value_of_information import regressed
from coreset.money.what_to_learn import Weighing
from coreset.money.year_plan import volume_share


@dataclass(frozen=True, slots=True, kw_only=True)
class EarlyEnd:
    """Fewest years that the program of a pattern must run for the purchase to gain, the other programs as planned."""

    pattern: str
    years: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Waiting:
    """Worth of buying now and of buying in a year where it then still gains, both as of now. [currency]

    In a year the volumes are known, all else is not; the setter is then used for as many years as if bought now, at the
    same prices. `early_ends`: patterns of the purchase whose early end alone would turn the base case.
    """

    now: float
    wait: float
    early_ends: tuple[EarlyEnd, ...]

    @property
    def better(self) -> bool:
        """Whether waiting is worth more than buying now."""
        return self.wait > max(self.now, 0.0)


def worth_of_waiting(later: ArrayLike, known: ArrayLike, rate: float, years: float = 1.0) -> float:
    """Worth now of a choice that is made after some years, between buying and not.

    Parameters
    ----------
    later : array_like, shape (n,)
        Net present value of buying then, in money of that day, run by run.
    known : array_like, shape (n,)
        What is known then.
    rate : float
        Discount rate a year.
    years : float
        How long is waited.

    Returns
    -------
    float
        Mean over what is known of the mean worth given it, none where that is below 0, discounted. [currency]

    Notes
    -----
    The worth of waiting of an investment that cannot be undone, for example A. K. Dixit and R. S. Pindyck, Investment
    under Uncertainty, 1994, chapter 2. The mean given what is known is a cubic regression, exact for two values.
    """
    return regressed(later, known)[0] / (1.0 + rate) ** years


def waiting(w: Weighing) -> Waiting | None:
    """The purchase of a year later against that of now; None without a setter, or where no set can be bought."""
    if not w.way.mechanised or w.mix.needs:
        return None
    now = w.worth[:, 1]
    later = _a_year_later(w)
    volumes = [w.sample[f"molds_per_year.{code}"] for code in w.facts.patterns]
    table = np.array([np.ones(w.sample.n), *(np.broadcast_to(v, w.sample.n) for v in volumes if np.ndim(v))])
    index = np.linalg.lstsq(table.T, later, rcond=None)[0] @ table
    wait = worth_of_waiting(later, index, w.rate)
    return Waiting(now=float(now.mean()), wait=wait, early_ends=early_ends(w))


def _a_year_later(w: Weighing) -> NDArray[np.float64]:
    """NPV by run of the same purchase made in a year, as of that day, (n,); programs go on by the calendar."""
    by_code = {p.pattern: p for p in w.case.patterns}
    shares = volume_share([by_code[code] for code in w.facts.patterns], w.case.money.years + 1)
    if shares is None and max(w.facts.moved_from, default=1) <= 1:
        return w.worth[:, 1]
    moved = tuple(max(1.0, year - 1.0) for year in w.facts.moved_from)
    facts = replace(w.facts, volume_share=None if shares is None else shares[:, 1:], moved_from=moved)
    return npv(flows(w.sample, facts, w.way, w.case.money, w.mix.chosen), w.rate)


def early_ends(w: Weighing) -> tuple[EarlyEnd, ...]:
    """Patterns of the purchase whose program must run some years, so that the base case gains, most years first.

    Empty where it does not gain anyway.
    """
    years, places = w.case.money.years, np.flatnonzero(w.mix.chosen[:, 0])
    planned = np.ones((len(w.facts.patterns), years, 1)) if w.facts.volume_share is None else w.facts.volume_share
    share = np.repeat(planned, places.size * years + 1, axis=2)
    for k, place in enumerate(places):
        for end in range(years):
            share[place, end:, k * years + end] = 0.0
    centre = Sample(n=share.shape[2], values=w.sample.centre().values)
    facts = replace(w.facts, volume_share=share)
    worth = npv(flows(centre, facts, w.way, w.case.money, w.mix.chosen), w.rate)
    if worth[-1] < 0:
        return ()
    by_end = worth[:-1].reshape(places.size, years) < 0
    found = [
        EarlyEnd(pattern=w.facts.patterns[place], years=int(np.flatnonzero(lost)[-1]) + 1)
        for place, lost in zip(places, by_end, strict=True)
        if lost.any()
    ]
    return tuple(sorted(found, key=lambda one: -one.years))
