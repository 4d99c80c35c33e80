"""Stops of the line, each counted once: what a list of stops leaves, and the share of the schedule the line runs."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from coreset.case.plant import Line, Stop
from coreset.errors import OutOfRange

FORM_OF_STOPS = 2
"""Form of a case from which an overall uptime and a list of stops exclude one another."""
PERCENT = 100.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Running:
    """Share of the schedule left by what is not in the list of stops, and how it was found.

    `how` is list, uptime, nothing or form_1 (overall uptime over what the list leaves). `left` is what the list leaves
    at most.
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


@dataclass(frozen=True, slots=True, kw_only=True)
class StopConflict:
    """Two entries about stops that do not go together: the field, what stands in it, what was expected."""

    column: str
    found: str
    expected: str


def conflict(line: Line, form: int) -> StopConflict | None:
    """An overall uptime stands alone; what a list of stops does not explain is `other_stops_pct`."""
    if form < FORM_OF_STOPS:
        if line.other_stops_pct is None:
            return None
        expected = f"form = {FORM_OF_STOPS} at the head of case.toml, in which it has a meaning"
        return StopConflict(column="other_stops_pct", found=f"{line.other_stops_pct:g}", expected=expected)
    if line.uptime is None:
        return None
    if line.stops:
        value = f"{line.uptime:g} and a list of {len(line.stops)} stops"
        return StopConflict(column="uptime", found=value, expected=_other_stops(line.uptime, line.stops))
    if line.other_stops_pct is not None:
        expected = "one of them: uptime is 1 - other_stops_pct / 100"
        return StopConflict(column="uptime", found=f"{line.uptime:g} and other_stops_pct", expected=expected)
    return None


def _other_stops(uptime: float, listed: Sequence[Stop]) -> str:
    """What to enter in place of an overall uptime that stands with a list, with the arithmetic."""
    least, highest = list_leaves(listed)
    if uptime > least:
        sums = f"the list alone leaves {least:.4f} to {highest:.4f} of the time"
        return f"an uptime alone or a list alone: {sums}, so that the list is too long or {uptime:g} too high"
    low, high = (f"100 (1 - {uptime:g} / {x:.4f}) = {PERCENT * (1.0 - uptime / x):.1f}" for x in (least, highest))
    sums = f"{low} without places between stations"
    if high != low:
        sums += f", {high} with places in plenty"
    return f"an uptime alone, or the list with other_stops_pct = {sums}"


def running(line: Line, form: int) -> Running:
    """Share of the schedule that the whole line runs but for the stops in its list.

    Parameters
    ----------
    line : Line
        With a list of stops and `other_stops_pct`, or an overall uptime, or nothing: the line then never stops.
    form : int
        Form of the case. In form 1 an overall uptime holds the stops of the list too: what they leave at most is taken
        out of it.

    Returns
    -------
    Running

    Raises
    ------
    OutOfRange
        If an overall uptime stands with a list or with `other_stops_pct`, or that share in form 1.
    """
    wrong = conflict(line, form)
    if wrong is not None:
        raise OutOfRange(f"{wrong.column} must be {wrong.expected}, got {wrong.found}")
    most = list_leaves(line.stops)[1]
    if line.uptime is not None:
        how = "form_1" if line.stops else "uptime"
        return Running(share=min(1.0, line.uptime / most), how=how, left=most)
    other = line.other_stops_pct
    how = "nothing" if other is None and not line.stops else "list"
    return Running(share=1.0 - (other or 0.0) / PERCENT, how=how, left=most)
