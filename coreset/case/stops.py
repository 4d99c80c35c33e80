"""Stops of the line, each counted once: what a list of stops leaves, and the share of the schedule the line runs."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from coreset.case.plant import Line, Stop

FORM_OF_STOPS = 2
"""Form of a case from which an overall uptime and a list of stops exclude one another."""
UPTIME_OF_FORM_1 = 0.8
"""Uptime that form 1 (version 0.1.0) took where none was entered."""
PERCENT = 100.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Running:
    """Share of the schedule left by what is not in the list of stops, and how it was found.

    `how` is list, uptime, nothing, form_1 (overall uptime over what the list leaves) or form_1_empty. `left` is what
    the list leaves at most.
    """

    share: float
    how: str
    left: float


def left_by(stops: Iterable[Stop]) -> float:
    """Share of its running time that these stops leave one station: running over running and standing. [-]

    Examples
    --------
    >>> round(left_by([Stop(cause="plate", station="molding", every_min=57.0, lasts_min=3.0)]), 9)
    0.95
    """
    left = 1.0
    for stop in stops:
        left *= stop.every_min / (stop.every_min + stop.lasts_min)
    return left


def list_leaves(stops: Sequence[Stop]) -> tuple[float, float]:
    """Least and most that a list of stops leaves of the time of stations that are never blocked or starved. [-]

    Without places between stations every stop stands the whole line: 1 / (1 + sum of length / running time). With
    places in plenty only the station that stops most counts.
    """
    if not stops:
        return 1.0, 1.0
    least = 1.0 / (1.0 + sum(stop.lasts_min / stop.every_min for stop in stops))
    stations = dict.fromkeys(stop.station for stop in stops)
    return least, min(left_by(s for s in stops if s.station == name) for name in stations)


def running(line: Line, form: int) -> Running:
    """Share of the schedule that the whole line runs but for the stops in its list.

    Parameters
    ----------
    line : Line
        With a list of stops and `other_stops_pct`, or an overall uptime, or nothing.
    form : int
        Form of the case. In form 1 an overall uptime holds the stops of the list too: what they leave at most is taken
        out of it; and where none was entered it is 0.8.

    Returns
    -------
    Running
    """
    most = list_leaves(line.stops)[1]
    if form < FORM_OF_STOPS:
        uptime = UPTIME_OF_FORM_1 if line.uptime is None else line.uptime
        how = "form_1_empty" if line.uptime is None else "form_1" if line.stops else "uptime"
        return Running(share=min(1.0, uptime / most), how=how, left=most)
    if line.uptime is not None and not line.stops:
        return Running(share=line.uptime, how="uptime", left=1.0)
    other = line.other_stops_pct
    how = "nothing" if other is None and not line.stops else "list"
    return Running(share=1.0 - (other or 0.0) / PERCENT, how=how, left=most)
