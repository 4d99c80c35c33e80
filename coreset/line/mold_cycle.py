"""The mold cycle of each pattern and method: its mean with interval, who works, who waits for whom, what sets it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coreset.case import Case
from coreset.line.activity import Bar, Shares, bars, shares
from coreset.line.core_supply import by_hand, with_supply
from coreset.line.critical_loop import critical_loop
from coreset.line.cycle_scatter import Rater, narrowed, rated, varies
from coreset.line.line_kinds import front_of
from coreset.line.method_steps import MACHINE, Activity, Net, activities, net
from coreset.line.recursion import finish_times
from coreset.line.rest import RestOfMethod, rest_of
from coreset.line.step_durations import as_one, checked, drawn_seconds, forgotten, left_out, lumped, mean_seconds, table

MOST_CYCLES = 400
"""Cycles that one replication runs at most; where more were timed, the scatter of its mean is narrowed to theirs."""
WARM_UP = 6
"""Cycles run before timing starts; from an empty line the chart has settled by then. Checked in the tests."""
LOOKED_AT, LOOKED_CYCLES = 400, 20_000
"""Replications whose every cycle is looked at for shares and single cycles, and cycles so looked at and kept."""
BLOCK_CELLS = 4_000_000
"""Durations held at once; more replications are run in blocks."""
CONSTANT_CYCLES = 24
"""Cycles run where every duration is a constant."""
RATER_STREAM = 9
PERCENT = 100.0
LEVELS = (0.025, 0.975)


@dataclass(frozen=True, slots=True, kw_only=True)
class MoldCycle:
    """Time from mold to mold of one pattern under one method, were nothing else on the line in the way.

    `mean_s` is the mean of the longest way through each cycle, not the longest of the means; `low_s` and `high_s`
    its 95 % interval over resampled studies, `draws_s` those means. `p90_s` and `sample_s` are single cycles.
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
        Standard times by element and cycle; studies of one pattern and method count as one.
    replications : int
        Resampled studies.
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
            timed = pooled.get((pattern.pattern, method.method), ())
            chart = chart_of(case, pattern.pattern, method.method, timed)
            if chart is None:
                continue
            key = (case.seed if seed is None else seed, case.patterns.index(pattern))
            rests = [rest_of(case, method, standard) for standard in timed]
            row = of_net(
                net(chart),
                elements_of(timed, rests),
                name=(pattern.pattern, method.method),
                replications=replications,
                rng=np.random.default_rng(key),
                rater=rater_of(timed, np.random.default_rng((*key, case.methods.index(method), RATER_STREAM))),
            )
            found.append(replace(row, rest=_effect(row, net(chart), timed, rests)))
    return tuple(found)


def untimed(stated: tuple[Activity, ...], elements: Mapping[str, Any]) -> list[str]:
    """Elements that steps take and no study of the pattern and method has, in the order of the steps."""
    return list(dict.fromkeys(a.element for a in stated if a.constant_s is None and a.element not in elements))


def untimed_pairs(case: Case, standards: Iterable[Any]) -> Iterator[tuple[str, str, tuple[str, ...]]]:
    """Pattern, method and elements wherever a pair was timed but a step takes an element that it was not timed for."""
    pooled = by_pair(standards)
    for pattern in case.patterns:
        for method in case.methods:
            elements = elements_of(pooled.get((pattern.pattern, method.method), ()))
            way = by_hand(case, pattern.pattern, method)
            stated = activities(way, pattern.pattern, core_window_s=case.line.core_window_s)
            if elements and (lacking := untimed(stated, elements)):
                yield pattern.pattern, method.method, tuple(lacking)


def manual_elements(timed: tuple[Any, ...]) -> frozenset[str]:
    """Elements that people do; a machine's time is neither rated nor anybody's work."""
    rows = (row for standard in timed for row in getattr(standard, "elements", ()))
    return frozenset(row.element for row in rows if row.kind == "manual")


def rater_of(timed: tuple[Any, ...], rng: np.random.Generator) -> Rater:
    """The rater of a pair's studies: the mean of their scatter."""
    sds = [getattr(standard, "rater_sd_pct", 0.0) for standard in timed] or [0.0]
    return Rater(sd=float(np.mean(sds)) / PERCENT, elements=manual_elements(timed), rng=rng)


def by_pair(standards: Iterable[Any]) -> dict[tuple[str, str], tuple[Any, ...]]:
    """Standards grouped by pattern and method."""
    found: dict[tuple[str, str], tuple[Any, ...]] = {}
    for standard in standards.values() if isinstance(standards, dict) else standards:
        found[standard.pattern, standard.method] = (*found.get((standard.pattern, standard.method), ()), standard)
    return found


def chart_of(case: Case, pattern: str, method: str, timed: tuple[Any, ...]) -> tuple[Activity, ...] | None:
    """The activities of one pattern and method, with what its kind of line adds; None where one was not timed."""
    found = _stated_chart(case, pattern, method, timed)
    return None if found is None else front_of(case.line, with_supply(case, pattern, method, found))


def _stated_chart(case: Case, pattern: str, method: str, timed: tuple[Any, ...]) -> tuple[Activity, ...] | None:
    """The method's own activities; None where one was neither timed nor stated as a constant."""
    way = by_hand(case, pattern, case.method(method))
    stated = activities(way, pattern, core_window_s=case.line.core_window_s)
    if not timed:
        return stated if stated and all(a.constant_s is not None for a in stated) else None
    elements = elements_of(timed)
    if not elements:
        return lumped(timed[0], rest_of(case, case.method(method), timed[0]).times)
    if not stated:
        return as_one(timed[0])
    if untimed(stated, elements):
        return None
    dropped = {s.element for s in case.method(method).steps} - {s.element for s in way.steps}
    return forgotten(stated, [name for name in elements if name in manual_elements(timed) - dropped])


def _effect(row: MoldCycle, chart: Net, timed: tuple[Any, ...], rests: Sequence[RestOfMethod]) -> RestOfMethod | None:
    """Rest of the pair's first study, with the mold cycle at mean times were all rest in the cycle at standard pace."""
    if not rests:
        return None
    plain = critical_loop(chart, mean_seconds(chart, elements_of(timed)))[0]
    return replace(rests[0], all_in_cycle_s=plain, cycle_s=row.deterministic_s)


def elements_of(timed: tuple[Any, ...], rests: Sequence[RestOfMethod] = ()) -> dict[str, NDArray[np.float64]]:
    """Standard times by element, cycles of all studies of the pair one after the other. [s]

    With the rest of each study its manual times are as long as rest and pace make them.
    """
    manual = manual_elements(timed)
    times = [rest.times for rest in rests] or [1.0] * len(timed)
    each = [
        {name: seconds * (by if name in manual else 1.0) for name, seconds in table(standard).items()}
        for standard, by in zip(timed, times, strict=True)
    ]
    tables = [rows for rows in each if rows]
    names = [name for name in (tables[0] if tables else {}) if all(name in rows for rows in tables)]
    return {name: np.concatenate([rows[name] for rows in tables]) for name in names}


def of_net(
    found: Net,
    elements: dict[str, NDArray[np.float64]],
    *,
    name: tuple[str, str],
    replications: int,
    rng: np.random.Generator,
    rater: Rater | None = None,
) -> MoldCycle:
    """The mold cycle of one net: each replication draws the study's cycles again and runs them one after another.

    A rater's scatter moves all that he rated together, one draw a replication; single cycles leave it out.
    """
    checked(found, elements)
    timed = {a.element: elements[a.element] for a in found.activities if a.constant_s is None}
    cycles = max((len(v) for v in elements.values()), default=0) if timed else CONSTANT_CYCLES
    means = mean_seconds(found, elements)
    pace, loop = critical_loop(found, means)
    run, warm_up = min(cycles, MOST_CYCLES), max(WARM_UP, found.reach)
    size = run + warm_up
    looks = min(replications, LOOKED_AT, max(1, LOOKED_CYCLES // run))
    looked_s = drawn_seconds(found, elements, rng.integers(0, cycles, (size, looks)))
    looked = finish_times(found, looked_s)
    draws, factors = [], []
    for count in _blocks(replications, size * len(found.activities)):
        rows = rng.integers(0, cycles, (size, count), dtype=np.int32)
        seconds = drawn_seconds(found, elements, rows)
        factors.append(rated(found, seconds, rater))
        over = paced(found, finish_times(found, seconds))
        draws.append((over[-1] - over[warm_up - 1]) / run)
    drawn = (
        narrowed(np.concatenate(draws), np.concatenate(factors), run / cycles)
        if varies(timed, rater)
        else np.full(replications, pace)
    )
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
        critical=loop,
        shares=told.shares,
        idle=told.idle,
        waits_for=told.waits_for,
        left_out=left_out(found, elements),
        steps=found.activities,
        step_s=tuple(means.tolist()),
        bars=bars(found, means),
        timed_cycles=cycles if timed else 0,
        draws_s=drawn,
        sample_s=single,
        timed_s=timed,
    )


def paced(found: Net, over: NDArray[np.float64]) -> NDArray[np.float64]:
    """When each mold leaves: the end of the last of the machine's steps, or of the last listed step without one."""
    own = [k for k, a in enumerate(found.activities) if a.by == MACHINE] or [len(found.activities) - 1]
    return over[:, own[-1]]


def _blocks(replications: int, cells: int) -> list[int]:
    most = max(1, BLOCK_CELLS // cells)
    return [min(most, replications - done) for done in range(0, replications, most)]
