"""Run length against cores per mold: what setting a mold's cores with the machine saves, mask changes paid.

In: rows of patterns, cost of one mask change. Out: cells of a grid that spans the plant's own patterns.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from coreset.money.pattern_economics import PatternMoney

MOST_ROWS = 24
LENGTHS = (10, 20, 40, 80, 160, 320, 640, 1280, 2560, 5120)


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """Saving of one mold at a run length and a number of cores, its mask left out. [currency/mold]"""

    run_molds: float
    cores_per_mold: int
    saving_per_mold: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """The grid and the two figures it rests on, both means over the patterns timed, weighed by volume."""

    seconds_per_core: float
    worth_of_second: float
    change_cost: float
    cells: tuple[Cell, ...]


def run_grid(patterns: Iterable[PatternMoney], change_cost: float) -> Grid | None:
    """The grid of a decision; None where no pattern with cores has been timed both ways."""
    rows = [p for p in patterns if np.isfinite(p.seconds_saved) and p.cores_per_mold]
    if not rows:
        return None
    molds = np.array([p.molds_per_year for p in rows])
    cores = np.array([p.cores_per_mold for p in rows])
    saved = np.array([p.seconds_saved for p in rows])
    worth = np.array([p.saving_per_second for p in rows])
    per_core = float((molds * saved).sum() / (molds * cores).sum())
    usable = np.isfinite(worth) & (saved > 0)
    of_second = float(np.average(worth[usable], weights=(molds * saved)[usable])) if usable.any() else 0.0
    longest = max(p.run_molds for p in rows)
    lengths = [n for n in LENGTHS if n <= 2 * longest] or [LENGTHS[0]]
    cells = tuple(
        Cell(run_molds=n, cores_per_mold=k, saving_per_mold=k * per_core * of_second - change_cost / n)
        for n in lengths
        for k in _counts(int(cores.max()) + 1)
    )
    return Grid(seconds_per_core=per_core, worth_of_second=of_second, change_cost=change_cost, cells=cells)


def _counts(most: int) -> list[int]:
    """Numbers of cores from one to the most: each of them, or as many as can be looked at, evenly spread."""
    return [round(k) for k in np.linspace(1, most, min(most, MOST_ROWS))]
