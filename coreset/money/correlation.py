"""What the correlation of volumes, margins and prices does: the same runs with each of these inputs by itself."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

from coreset.case import Case
from coreset.money.chances import Spread, chance, spread
from coreset.money.scrap import ScrapFinding
from coreset.money.simulation_inputs import Sample, draw
from coreset.money.what_to_learn import Weighing

CORRELATIONS = ("volume_correlation", "price_correlation", "volume_margin_correlation")


@dataclass(frozen=True, slots=True, kw_only=True)
class Uncorrelated:
    """Net present value of the chosen set if no input were correlated with another, and the chance that it pays."""

    npv: Spread
    chance_npv_positive: float


def uncorrelated(w: Weighing, rates: Iterable[Any], scrap: Iterable[ScrapFinding], seed: int) -> Uncorrelated | None:
    """The chosen set on runs without correlation; None where the case states none.

    Parameters
    ----------
    w : Weighing
        What is weighed.
    rates, scrap
        As for :func:`coreset.money.simulation_inputs.draw`.
    seed : int
        Seed of the runs: inputs without correlation have the same values as before.
    """
    if not any(getattr(w.case.money, name) for name in CORRELATIONS):
        return None
    none: dict[str, Any] = dict.fromkeys(CORRELATIONS, 0.0)
    apart: Case = replace(w.case, money=replace(w.case.money, **none))
    drawn: Sample = draw(apart, rates, scrap, draws=w.sample.n, seed=seed)
    worth = w.npv(w.sample.changed(drawn.values))
    return Uncorrelated(npv=spread(worth), chance_npv_positive=chance(worth > 0))
