"""When each mold leaves each station: blocking after service in finite places, on whole arrays of replications.

Counting: `places[j]` are the places between stations j and j + 1, the stations themselves left out. The first station
is never starved, the last never blocked. A finished mold holds its station until there is a place beyond it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coreset.errors import OutOfRange


@dataclass(frozen=True, slots=True, kw_only=True)
class Passage:
    """Times of every mold at every station, each (stations, molds, replications). [s]

    `start` begins the service, `leave` frees the station.
    """

    start: NDArray[np.float64]
    leave: NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class StationRow:
    """A row of S stations: places between them, least dwell in those places, and one station that works in batches.

    A batch station starts on the first mold of a batch when the last of it has come. With `hold_s` the last station
    starts on a mold so long after it left station `hold_from`, wherever between them it has been.
    """

    places: tuple[int, ...]
    dwell_s: tuple[float, ...] = ()
    hold_s: float = 0.0
    hold_from: int = 0
    batch_station: int = 0
    batch_molds: int = 1

    def __post_init__(self) -> None:
        if any(b < 0 for b in self.places) or (self.dwell_s and len(self.dwell_s) != len(self.places)):
            raise OutOfRange(f"places must be counted between stations and not be negative, got {self.places}")
        for b, dwell in zip(self.places, self.dwell_s, strict=False):
            if dwell > 0 and b < 1:
                raise OutOfRange(f"places where molds must stay must be at least 1, got {b}")
        if self.hold_s > 0 and not 0 <= self.hold_from < len(self.places):
            raise OutOfRange(f"station from which molds are held must be before the last, got {self.hold_from}")
        if self.hold_s > 0 and sum(self.places[self.hold_from :]) + len(self.places) - self.hold_from < 2:
            raise OutOfRange("places where molds must stay must be at least 1, got 0")
        if self.batch_molds > 1 and not 0 < self.batch_station <= len(self.places):
            raise OutOfRange(f"station that works in batches must have one before it, got {self.batch_station}")
        if self.batch_molds > 1 and self.places[self.batch_station - 1] < self.batch_molds - 1:
            before = self.places[self.batch_station - 1]
            raise OutOfRange(f"places before a batch of {self.batch_molds} must hold all but one of it, got {before}")


def passage(service_s: NDArray[np.float64], layout: StationRow) -> Passage:
    """Run molds through the stations, from an empty line.

    Mold n leaves station j when its service is over, when mold n - places[j] - 1 has gone from station j + 1, and,
    where molds must stay between the two, when mold n - places[j] has begun there. Before a last station that waits
    for molds to be cool a mold without a place beyond it stays where it is until it is.

    Parameters
    ----------
    service_s : ndarray (stations, molds, replications)
        Time at each station, stops in it. [s]
    layout : StationRow
        Places, dwell, batches.

    Returns
    -------
    Passage
        Starts and departures.

    References
    ----------
    [hunt1956] the blocking rule; the recursion is the max-plus form of it.
    """
    stations, molds, _ = service_s.shape
    found = Passage(start=np.empty_like(service_s), leave=np.empty_like(service_s))
    split = layout.batch_station if layout.batch_molds > 1 else stations
    for first in range(0, molds, layout.batch_molds):
        last = min(first + layout.batch_molds, molds)
        for n in range(first, last):
            for j in range(split):
                _step(found, service_s, layout, (j, n, n))
        for n in range(first, last):
            for j in range(split, stations):
                _step(found, service_s, layout, (j, n, last - 1))
    return found


def _step(found: Passage, service_s: NDArray[np.float64], layout: StationRow, at: tuple[int, int, int]) -> None:
    """One mold at one station; `at` is station, mold, and the mold that must have come before it may start."""
    j, n, awaited = at
    start, leave, last = found.start[j, n], found.leave[j, n], len(layout.places)
    dwell = layout.dwell_s[j - 1] if j and layout.dwell_s else 0.0
    if j:
        mold = awaited if j == layout.batch_station else n
        np.add(found.leave[j - 1, mold], dwell, out=start)
        if n:
            np.maximum(start, found.leave[j, n - 1], out=start)
        if j == last and layout.hold_s > 0:
            np.maximum(start, found.leave[layout.hold_from, n] + layout.hold_s, out=start)
    else:
        start[:] = found.leave[0, n - 1] if n else 0.0
    np.add(start, service_s[j, n], out=leave)
    if j < last:
        _held(found, layout, j, n)


def _held(found: Passage, layout: StationRow, j: int, n: int) -> None:
    """Until when a finished mold stays at its station for want of a place beyond it."""
    leave, b = found.leave[j, n], layout.places[j]
    if n > b:
        np.maximum(leave, found.leave[j + 1, n - b - 1], out=leave)
    cooled = layout.hold_s > 0 and j + 1 == len(layout.places)
    if cooled and not b:
        np.maximum(leave, found.leave[layout.hold_from, n] + layout.hold_s, out=leave)
    elif (cooled or (layout.dwell_s and layout.dwell_s[j] > 0)) and n >= b:
        np.maximum(leave, found.start[j + 1, n - b], out=leave)
