"""Where waiting comes from: a blocked or starved station's time followed back, mold by mold, to what began it.

In: a run of the line. Out: for each station the share of its time by root: the pace of a station, a stop by its cause,
a pattern change, cooling, or the way through a row.

A wait is read backwards in time from its end: what the neighbor did last comes first. Where the neighbor stood itself,
its own wait of that time is followed on. Within one service its stops are taken to be waited for before its work.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coreset.line.departures import Passage
from coreset.line.line_plan import LinePlan
from coreset.line.service_times import Services

Root = tuple[str, str]
"""Kind (pace, stop, change, cooling, row, rest) and the name of the station or cause; rest is what was not found."""
Seconds = NDArray[np.float64]
PACE, STOP, CHANGE, COOLING, ROW, REST = "pace", "stop", "change", "cooling", "row", "rest"
EXACT_S = 1e-9
DEEPEST = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class Waits:
    """Times of a run, and each station's standing before (starved) and after (blocked) every mold. [s]"""

    plan: LinePlan
    times: Passage
    drawn: Services
    blocked: Seconds
    starved: Seconds


def waits(found: LinePlan, times: Passage, drawn: Services) -> Waits:
    """Blocked and starved seconds of every mold at every station; the first station is never starved.

    Parameters
    ----------
    found : LinePlan
        A row of stations.
    times : Passage
        Its run, (stations, molds, replications). [s]
    drawn : Services
        Seconds of the run: work, and work with stops.
    """
    begun = np.zeros_like(times.start)
    begun[:, 1:] = times.leave[:, :-1]
    return Waits(
        plan=found,
        times=times,
        drawn=drawn,
        blocked=np.maximum(times.leave - times.start - drawn.total_s, 0.0),
        starved=np.maximum(times.start - begun, 0.0),
    )


def roots(seen: Waits, j: int) -> dict[tuple[str, str, str], float]:
    """Seconds of a counted mold that one station stops, is blocked or starved, by root: (how, kind, name).

    They add up to its whole standing time; what could not be followed is of the kind rest.
    """
    molds = np.arange(seen.plan.warm_up, seen.times.start.shape[1])
    found: dict[tuple[str, str, str], float] = {}
    cells = len(molds) * seen.times.start.shape[2]
    for added in seen.drawn.added:
        if added.station == j:
            found["stopped", added.kind, added.name] = float(added.seconds[molds].sum()) / cells
    for how, follow, each in (("blocked", _blocked, seen.blocked), ("starved", _starved, seen.starved)):
        into: dict[Root, float] = defaultdict(float)
        follow(seen, (j, 0), molds, each[j, molds], into)
        found |= {(how, *root): seconds / cells for root, seconds in into.items() if seconds > 0}
    return found


def _taken(left: Seconds, most: Seconds, root: Root, into: dict[Root, float]) -> Seconds:
    """Charge a root with as much of the wait as it can account for; what is left."""
    part = np.minimum(left, most)
    into[root] += float(part.sum())
    return left - part


def _starved(
    seen: Waits, at: tuple[int, int], molds: NDArray[np.int64], left: Seconds, into: dict[Root, float]
) -> None:
    """Follow the last `left` seconds before a station began on these molds."""
    (j, deep), layout = at, seen.plan.layout
    if not (left > EXACT_S).any():
        return
    if not j or deep > DEEPEST:
        into[REST, ""] += float(left.sum())
        return
    if j == len(layout.places) and layout.hold_s > 0:
        cool = seen.times.leave[layout.hold_from, molds] + layout.hold_s
        came = seen.times.leave[j - 1, molds] + (layout.dwell_s[j - 1] if layout.dwell_s else 0.0)
        shifted = np.where(cool > came + EXACT_S, left, 0.0)
        _before(seen, (layout.hold_from, deep + 1), molds, shifted, into, final=True)
        left = left - shifted
    batch = layout.batch_molds if j == layout.batch_station else 1
    last = np.minimum((molds // batch + 1) * batch, seen.times.start.shape[1]) - 1 if batch > 1 else molds
    for back in range(batch):
        mold = last - back
        asked = np.where((mold >= molds)[:, None], left, 0.0)
        left = left - asked + _before(seen, (j - 1, deep + 1), np.maximum(mold, 0), asked, into)
    into[REST, ""] += float(left.sum())


def _blocked(
    seen: Waits, at: tuple[int, int], molds: NDArray[np.int64], left: Seconds, into: dict[Root, float]
) -> None:
    """Follow the last `left` seconds before a station could give these molds away."""
    (j, deep), layout = at, seen.plan.layout
    if not (left > EXACT_S).any():
        return
    if deep > DEEPEST:
        into[REST, ""] += float(left.sum())
        return
    b, last = layout.places[j], len(layout.places)
    ahead = np.maximum(molds - b, 1)
    cooled = j + 1 == last and layout.hold_s > 0
    stood = seen.starved[j + 1, ahead]
    if cooled and not b:
        gone = np.maximum(seen.times.leave[j + 1, ahead - 1], seen.times.leave[j, molds] - seen.blocked[j, molds])
        stood = np.maximum(seen.times.leave[j, molds] - gone, 0.0)
    left = _taken(left, stood, (COOLING, "") if cooled else (ROW, seen.plan.stations[j]), into)
    _before(seen, (j + 1, deep + 1), ahead - 1, left, into, final=True)


def _before(
    seen: Waits,
    at: tuple[int, int],
    molds: NDArray[np.int64],
    left: Seconds,
    into: dict[Root, float],
    *,
    final: bool = False,
) -> Seconds:
    """Follow the last `left` seconds before these molds left a station: blocked, stopped, worked on, awaited.

    What is left over lies before the mold before them; with `final` it is charged as not found.
    """
    i, deep = at
    if not (left > EXACT_S).any():
        return left
    part = np.minimum(left, seen.blocked[i, molds])
    _blocked(seen, at, molds, part, into)
    left = left - part
    for added in seen.drawn.added:
        if added.station == i:
            left = _taken(left, added.seconds[molds], (added.kind, added.name), into)
    left = _taken(left, seen.drawn.work_s[i, molds], (PACE, seen.plan.stations[i]), into)
    part = np.minimum(left, seen.starved[i, molds])
    _starved(seen, (i, deep + 1), molds, part, into)
    left = left - part
    if final:
        into[REST, ""] += float(left.sum())
    return left
