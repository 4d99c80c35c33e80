"""Time of every mold at every station, stops in it, on common random numbers. In: line, cycles. Out: seconds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from coreset.case import Stop
from coreset.units import S_PER_MIN

MOLDING, POURING, SHAKE_OUT = "molding", "pouring", "shake-out"
TABLE = "table"
CYCLE_STREAM, STOP_STREAM, RUN_STREAM = 1, 2, 3
"""Each purpose draws from a stream of its own, so that a change elsewhere leaves the others' numbers as they were."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """What one station takes for a mold: single cycles to draw from, or a constant. [s]

    `own` is the share of it in which the station itself runs, so that its stops can come. A station with several steps
    has a work for each, named by `step`; works with `joint` are rows of one timed cycle, drawn together.
    """

    station: str
    seconds: NDArray[np.float64]
    own: float = 1.0
    step: str = ""
    joint: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Added:
    """Seconds that one cause adds to each mold at one station, (molds, replications); kind is stop or change. [s]"""

    station: int
    kind: str
    name: str
    seconds: NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Services:
    """Seconds at each station (stations, molds, replications): the work alone, and with stops in it, by cause."""

    work_s: NDArray[np.float64]
    total_s: NDArray[np.float64]
    added: tuple[Added, ...] = ()


def services(works: Sequence[Work], stops: Sequence[Stop], *, size: tuple[int, int], key: tuple[int, ...]) -> Services:
    """Draw the time of every mold at every station.

    Parameters
    ----------
    works : sequence of Work (stations,)
        Stations in order.
    stops : sequence of Stop
        Stops that come after so much running time of their station.
    size : (molds, replications)
        How many.
    key : tuple of int
        Seed and number of the block: the same key gives the same uniform numbers to whatever is compared.

    Returns
    -------
    Services
        Work, and work with stops. [s]
    """
    work = np.empty((len(works), *size))
    for j, station in enumerate(works):
        work[j] = (
            _joint(station, size, key) if station.joint else _cycles(station.seconds, size, (*key, CYCLE_STREAM, j))
        )
    causes = [stop.cause for stop in stops]
    added = tuple(
        Added(
            station=j,
            kind="stop",
            name=stop.cause if causes.count(stop.cause) == 1 else f"{stop.cause} ({stop.station})",
            seconds=standing_s(works[j].own * work[j], stop, (*key, STOP_STREAM, i, *([n] if n else []))),
        )
        for i, stop in enumerate(stops)
        for n, j in enumerate(j for j, one in enumerate(works) if one.station == stop.station)
    )
    return with_added(Services(work_s=work, total_s=work.copy()), added)


def with_added(found: Services, more: Sequence[Added]) -> Services:
    """The same work with further seconds in it; the totals are changed in place."""
    for one in more:
        found.total_s[one.station] += one.seconds
    return replace(found, added=(*found.added, *more))


def _joint(work: Work, size: tuple[int, int], key: tuple[int, ...]) -> NDArray[np.float64]:
    """Times of one step in whole timed cycles: all steps of a mold are from the same cycle."""
    draws = np.random.default_rng((*key, CYCLE_STREAM, 0)).random(size)
    return work.seconds[(draws * len(work.seconds)).astype(np.intp)]


def _cycles(seconds: NDArray[np.float64], size: tuple[int, int], key: tuple[int, ...]) -> NDArray[np.float64] | float:
    """Cycles drawn by rank: a slow mold of one method is a slow mold of the other too."""
    ranked = np.sort(seconds)
    if ranked[0] == ranked[-1]:
        return float(ranked[0])
    draws = np.random.default_rng(key).random(size)
    return ranked[(draws * len(ranked)).astype(np.intp)]


def standing_s(work_s: NDArray[np.float64], stop: Stop, key: tuple[int, ...]) -> NDArray[np.float64]:
    """Seconds that one cause adds to each mold, (molds, replications).

    Stops come by running time, not by the clock: a station that waits does not fail. With spread "exponential" the
    running time between stops and the length of a stop are exponential; with "constant" both are fixed, from a
    random start.

    Parameters
    ----------
    work_s : ndarray (molds, replications)
        Running time of the station for each mold. [s]
    stop : Stop
        Minutes of running between stops, minutes a stop lasts, and how both are spread.
    key : tuple of int
        Seed, block and number of the cause.
    """
    every, lasts = stop.every_min * S_PER_MIN, stop.lasts_min * S_PER_MIN
    if stop.spread == "constant":
        phase = np.random.default_rng(key).random(work_s.shape[1])
        run = np.floor(phase + np.cumsum(work_s, axis=0) / every)
        return lasts * np.diff(run, axis=0, prepend=np.floor(phase)[None])
    mean = work_s / every
    draws = np.random.default_rng((*key, 0)).random(work_s.shape)
    chance = np.exp(-mean)
    reached, found = chance.copy(), np.zeros_like(work_s)
    turn = 1
    while (more := draws > reached).any() and chance.max() > 0:
        found += np.where(more, np.random.default_rng((*key, turn)).exponential(lasts, work_s.shape), 0.0)
        chance = chance * mean / turn
        reached = reached + chance
        turn += 1
    return found


def pattern_changes_s(
    molds: int, replications: int, *, run_molds: float, lasts_s: float, key: tuple[int, ...]
) -> NDArray[np.float64]:
    """Seconds that pattern changes add at the molding machine, one after every run, (molds, replications).

    Where in its run a replication begins is spread evenly over the replications.

    Parameters
    ----------
    molds, replications : int
        Shape of what is returned.
    run_molds : float
        Molds between two changes; 0 for none. [molds]
    lasts_s : float
        Length of a change. [s]
    key : tuple of int
        Seed and number of the block.
    """
    if run_molds <= 0 or lasts_s <= 0:
        return np.zeros((molds, replications))
    evenly = (np.arange(replications) + np.random.default_rng((*key, RUN_STREAM)).random(replications)) / replications
    phase = np.random.default_rng((*key, RUN_STREAM, 0)).permutation(evenly)
    done = np.floor(phase + np.arange(molds + 1)[:, None] / run_molds)
    return lasts_s * np.diff(done, axis=0)
