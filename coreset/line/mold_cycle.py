"""The mold cycle of each pattern and method: its mean with interval, who works, who waits for whom, what sets it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coreset.case import Case
from coreset.case.kinds import MACHINE
from coreset.line.activity import Bar, Shares, bars, shares
from coreset.line.critical_loop import critical_loop
from coreset.line.method_steps import Activity, Net, net
from coreset.line.recursion import finish_times
from coreset.line.rest import RestOfMethod, rest_of, short_min
from coreset.line.step_durations import WHOLE, changed_s, checked, drawn_seconds, left_out, mean_seconds, without_luck
from coreset.line.timed_steps import by_pair, chart_of, elements_of, targets

RUN_CYCLES = 40
"""Cycles that one replication runs, whatever was timed: their means are set to those drawn for the standard."""
WARM_UP = 6
"""Cycles run before timing starts; from an empty line the chart has settled by then. Checked in the tests."""
LOOKED_AT, LOOKED_CYCLES = 400, 20_000
"""Replications whose every cycle is looked at for shares and single cycles, and cycles so looked at and kept."""
BLOCK_CELLS = 4_000_000
"""Durations held at once; more replications are run in blocks."""
LEVELS = (0.025, 0.975)


@dataclass(frozen=True, slots=True, kw_only=True)
class MoldCycle:
    """Time from mold to mold of one pattern under one method, were nothing else on the line in the way.

    `mean_s` is the mean of the longest way through each cycle, not the longest of the means; `low_s` and `high_s`
    its 95 % interval for the crew, `draws_s` those means, one for each draw of the standard. `p90_s` and
    `sample_s` are single cycles.
    `shares` are shares of the cycle: working, waiting (within its round of steps), idle (between rounds).
    `waits_for` says how long each waits for whom in a cycle [s]. `left_out` are timed elements without a step:
    a machine's, or waiting; what people do without a step comes after their other steps. `timed_s` are the times of
    the elements by timed cycle, rest and pace in them.
    """

    pattern: str
    method: str
    mean_s: float
    low_s: float
    high_s: float
    p90_s: float
    deterministic_s: float
    critical: tuple[str, ...]
    shares: dict[str, tuple[float, float]]
    idle: dict[str, float]
    waits_for: dict[str, dict[str, float]]
    left_out: tuple[str, ...]
    steps: tuple[Activity, ...]
    step_s: tuple[float, ...]
    bars: tuple[Bar, ...]
    timed_cycles: int
    draws_s: NDArray[np.float64]
    sample_s: NDArray[np.float64]
    rest: RestOfMethod | None = None
    timed_s: dict[str, NDArray[np.float64]] = field(default_factory=dict)


def mold_cycles(
    case: Case, standards: Iterable[Any], *, replications: int = 10_000, seed: int | None = None
) -> tuple[MoldCycle, ...]:
    """The mold cycle of every pattern and method that was timed, or whose steps are all constants.

    One with a step whose element was not timed for it is left out; `untimed_pairs` tells which.

    Parameters
    ----------
    case : Case
        Patterns, methods with their steps, the line's core window.
    standards : iterable of Standard, or dict
        One of each pattern and method, such as `by_pattern` gives, with its draws by element.
    replications : int
        Draws of the standards that are carried through the chart, the first ones, again from the
        first where there are fewer.
    seed : int, optional
        Seed of the draws; the case's own if left out. Methods are compared on common random numbers.

    Returns
    -------
    tuple of MoldCycle
        Patterns in the order of the case, methods within.

    Raises
    ------
    OutOfRange
        If steps wait for each other in a ring.
    """
    pooled = by_pair(standards)
    found = []
    for pattern in case.patterns:
        for method in case.methods:
            timed = pooled.get((pattern.pattern, method.method))
            chart = chart_of(case, pattern.pattern, method.method, timed)
            if chart is None:
                continue
            key = (case.seed if seed is None else seed, case.patterns.index(pattern))
            rest = None if timed is None else rest_of(case, method, timed)
            row = of_net(
                net(chart),
                elements_of(timed, rest),
                name=(pattern.pattern, method.method),
                targets=targets(timed, rest, replications),
                replications=replications,
                rng=np.random.default_rng(key),
            )
            found.append(replace(row, rest=_effect(case, row, net(chart), timed, rest)))
    return tuple(found)


def _effect(
    case: Case, row: MoldCycle, chart: Net, timed: Any | None, rest: RestOfMethod | None
) -> RestOfMethod | None:
    """Rest of the pair, what it lacks, and the mold cycle at mean times were all rest in it at standard pace."""
    if rest is None:
        return None
    plain = critical_loop(chart, mean_seconds(chart, elements_of(timed)))[0]
    lacking = short_min(case, rest, timed, row.shares)
    return replace(rest, all_in_cycle_s=plain, cycle_s=row.deterministic_s, short_min=lacking)


def of_net(
    found: Net,
    elements: dict[str, NDArray[np.float64]],
    *,
    name: tuple[str, str],
    targets: dict[str, NDArray[np.float64]],
    replications: int,
    rng: np.random.Generator,
) -> MoldCycle:
    """The mold cycle of one net: in each replication timed cycles are drawn again and run one after another.

    `targets`: (replications,) of each element, its mean over the cycles of the run. A chart in which one step follows
    the other so takes what was drawn for the standard, to the last digit.

    Parameters
    ----------
    found : Net
        Steps and what they wait for.
    elements : dict of ndarray (timed cycles,)
        Standard time by element. [s]
    name : (str, str)
        Pattern and method.
    targets : dict of ndarray (replications,)
        Mean of each element over the cycles of a run. [s]
    replications : int
        Runs of the net.
    rng : Generator
        Draws timed cycles and the molds that have an occasional step.

    Raises
    ------
    OutOfRange
        If a step takes an element that was not timed.
    """
    checked(found, elements)
    random = [k for k, a in enumerate(found.activities) if a.sample_s]
    events = rng.spawn(1)[0]
    timed = list(dict.fromkeys(a.element for a in found.activities if a.constant_s is None))
    cycles = max((len(elements[each]) for each in timed), default=1)
    means = mean_seconds(found, elements)
    pace, loop = critical_loop(found, means)
    moments = {a.name for a in found.activities if a.event}
    warm_up = max(WARM_UP, found.reach)
    size = RUN_CYCLES + warm_up
    looks = min(replications, LOOKED_AT, LOOKED_CYCLES // RUN_CYCLES)
    middle = {each: elements[each] * _ratio(targets[each].mean(), elements[each].mean()) for each in timed}
    looked_s = drawn_seconds(found, middle, rng.integers(0, cycles, (size, looks)), rng=events)
    looked = finish_times(found, looked_s)
    draws, happened, done = [], [], 0
    for count in _blocks(replications if timed or random else 1, size * len(found.activities)):
        rows = rng.integers(0, cycles, (size, count), dtype=np.int32)
        means_s = {each: targets[each][done : done + count] for each in timed}
        seconds = drawn_seconds(found, elements, rows, rng=events, means_s=means_s, skip=warm_up)
        over = paced(found, finish_times(found, seconds))
        happened.append(seconds[warm_up:, random].mean(axis=0))
        draws.append((over[-1] - over[warm_up - 1]) / RUN_CYCLES)
        done += count
    drawn = np.concatenate(draws) if timed or random else np.full(replications, pace)
    if random:
        long_run_s = [changed_s(a, np.array(a.sample_s)).mean() for a in found.activities if a.sample_s]
        drawn = without_luck(drawn, np.concatenate(happened, axis=1), np.array(long_run_s))
    single = np.diff(paced(found, looked)[warm_up - 1 :], axis=0).ravel()
    told: Shares = shares(found, looked, looked_s, skip=warm_up)
    low, high = np.quantile(drawn, LEVELS)
    return MoldCycle(
        pattern=name[0],
        method=name[1],
        mean_s=float(drawn.mean()),
        low_s=float(low),
        high_s=float(high),
        p90_s=float(np.quantile(single, 0.9)),
        deterministic_s=pace,
        critical=tuple(name for name in loop if name not in moments),
        shares=told.shares,
        idle=told.idle,
        waits_for=told.waits_for,
        left_out=left_out(found, elements),
        steps=found.activities,
        step_s=tuple(means.tolist()),
        bars=bars(found, means),
        timed_cycles=cycles if timed and timed != [WHOLE] else 0,
        draws_s=drawn,
        sample_s=single,
        timed_s=middle,
    )


def paced(found: Net, over: NDArray[np.float64]) -> NDArray[np.float64]:
    """When each mold leaves: the end of the last of the machine's steps, or of the last listed step without one."""
    own = [k for k, a in enumerate(found.activities) if a.by == MACHINE] or [len(found.activities) - 1]
    return over[:, own[-1]]


def _ratio(top: float, bottom: float) -> float:
    return float(top / bottom) if bottom > 0 else 1.0


def _blocks(replications: int, cells: int) -> list[int]:
    most = max(1, BLOCK_CELLS // cells)
    return [min(most, replications - done) for done in range(0, replications, most)]
