"""What to study before deciding: what knowing each input would be worth, and each study, against its cost."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coreset.case import Money
from coreset.money.simulation_inputs import Sample
from coreset.money.value_of_information import SHUFFLES, evpi, evppi, evsi, noise_floor, regressed, told_apart

MORE_CYCLES = (10, 20, 40, 80)
LEAST = 1e-3
"""Share of the worth of knowing everything below which a study is not worth a word."""
MOST_TRIED = 4
"""Patterns in doubt that one vacuum trial tells apart at most: those that move the worth most."""
MOST_TOGETHER = 40
"""Inputs that one regression takes together at most; its cost goes with their square."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Knowing:
    """Worth of knowing one input exactly; at or below the noise floor there is nothing to gain.

    `of_each_draw`, `on_the_mean`: its two parts, against the current method, as
    :func:`regressed` gives them.
    """

    name: str
    worth: float
    of_each_draw: float
    on_the_mean: float
    above_noise: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class StudyWorth:
    """One study that could be made first. `kind`: cycles, volume_quote or vacuum_trial; `more` cycles where it is that.

    `worth` is at most what the study can be worth on average; `cost` NaN where it has not been entered.
    """

    kind: str
    pattern: str
    method: str
    more: int
    worth: float
    cost: float
    worth_doing: bool

    @property
    def net(self) -> float:
        """Worth less cost."""
        return self.worth - self.cost


def knowing(worth: NDArray[np.float64], sample: Sample, floor: float) -> tuple[Knowing, ...]:
    """Every uncertain input, by falling worth of knowing it.

    Parameters
    ----------
    worth : ndarray, shape (n, choices)
        NPV of each choice by run. [currency]
    sample : Sample
        Runs of every input, n of them.
    floor : float
        Worth below which there is nothing to gain. [currency]
    """
    rows = []
    for name in sample.uncertain:
        best, fixed = regressed(worth, sample[name])
        gained = max(0.0, best - fixed)
        rows.append(Knowing(name=name, worth=gained, of_each_draw=best, on_the_mean=fixed, above_noise=gained > floor))
    return tuple(sorted(rows, key=lambda row: -row.worth))


def floor_of(worth: NDArray[np.float64], seed: int, columns: int = 1) -> float:
    """Noise floor of the regression for so many inputs known together.

    Parameters
    ----------
    worth : ndarray, shape (n, choices)
        NPV of each choice by run. [currency]
    seed : int
        Seed of the runs.
    columns : int
        Number of inputs known together.
    """
    found = noise_floor(worth, np.random.default_rng([seed, columns, 7]), columns)
    return max(found, LEAST * evpi(worth))


def studies(
    worth: NDArray[np.float64],
    sample: Sample,
    money: Money,
    cycles: Mapping[tuple[str, str], int],
    *,
    floor: float,
    seed: int,
    without: NDArray[np.float64] | None = None,
) -> tuple[StudyWorth, ...]:
    """Studies by falling net worth: more cycles of each pattern and method, a volume quote, a vacuum trial.

    Parameters
    ----------
    worth : ndarray, (n, sets)
        Present value of each choice in each run. [currency]
    sample : Sample
        Drawn inputs.
    money : Money
        Costs of a cycle, a volume quote and a vacuum trial. [currency]
    cycles : mapping of (pattern, method) to int
        Cycles timed so far.
    floor : float
        Value below which a study is noise. [currency]
    seed : int
        Seed of the runs.
    without : ndarray, (n, sets), optional
        Worth of the chosen set less patterns in doubt, which a failed trial leaves to choose. [currency]
    """
    found = [_cycles(worth, sample, money, key, n, floor) for key, n in cycles.items()]
    found += [
        _together(worth, sample, "volume_quote", "molds_per_year.", money.volume_quote_cost, seed),
        _trial(worth if without is None else np.hstack([worth, without]), sample, money.vacuum_trial_cost, seed),
    ]
    rows = [row for row in found if row is not None]
    return tuple(sorted(rows, key=lambda row: (not row.worth_doing, -(row.net if row.cost > 0 else row.worth))))


def _judged(
    kind: str, worth: float, cost: float, floor: float, *, key: Iterable[str] = ("", ""), more: int = 0
) -> StudyWorth:
    pattern, method = key
    entered = cost if cost > 0 else float("nan")
    return StudyWorth(
        kind=kind,
        pattern=pattern,
        method=method,
        more=more,
        worth=worth,
        cost=entered,
        worth_doing=bool(worth > floor and worth > entered),
    )


def _cycles(
    worth: NDArray[Any], sample: Sample, money: Money, key: tuple[str, str], n0: int, floor: float
) -> StudyWorth | None:
    """The number of cycles more that gains most over its cost; where none was timed, all doubt is taken to go."""
    name = f"rate.{key[0]}.{key[1]}"
    if name not in sample.values or not np.ndim(sample[name]):
        return None
    shares = [n / (n0 + n) for n in MORE_CYCLES]
    tried = [
        _judged("cycles", float(value), n * money.study_cost_per_cycle, floor, key=key, more=n)
        for n, value in zip(MORE_CYCLES, evsi(worth, sample[name], known_share=shares), strict=True)
    ]
    return max(tried, key=lambda row: row.net if row.cost > 0 else row.worth)


def _together(worth: NDArray[Any], sample: Sample, kind: str, prefix: str, cost: float, seed: int) -> StudyWorth | None:
    names = [name for name in sample.uncertain if name.startswith(prefix)]
    if not names:
        return None
    columns = _moving(worth, np.stack([np.asarray(sample[name]) for name in names]))
    return _judged(kind, evppi(worth, columns), cost, floor_of(worth, seed, len(columns)))


def _trial(worth: NDArray[Any], sample: Sample, cost: float, seed: int) -> StudyWorth | None:
    """A trial with real cores: each pattern in doubt is held or is not, and the best is chosen in each branch."""
    names = [name for name in sample.uncertain if name.startswith("held.")]
    if not names:
        return None
    columns = _moving(worth, np.stack([np.asarray(sample[name]) for name in names]), most=MOST_TRIED)
    rng = np.random.default_rng([seed, len(columns), 11])
    blind = max(told_apart(worth, rng.permutation(columns, axis=1)) for _ in range(SHUFFLES))
    return _judged("vacuum_trial", told_apart(worth, columns), cost, max(blind, LEAST * evpi(worth)))


def _moving(worth: NDArray[Any], columns: NDArray[Any], *, most: int = MOST_TOGETHER) -> NDArray[Any]:
    """At most so many inputs: those that move the worth most; what the others add is left out, so the worth of a very
    wide study is a little low.
    """
    if len(columns) <= most:
        return columns
    off = columns - columns.mean(axis=1, keepdims=True)
    moved = np.abs(off @ np.reshape(worth, (columns.shape[1], -1))).max(axis=1) / np.maximum(
        np.sqrt((off**2).sum(axis=1)), np.finfo(float).tiny
    )
    return columns[np.sort(np.argsort(-moved)[:most])]
