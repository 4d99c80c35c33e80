"""A line as it is to be run: works and stops by station, places, cooling. In: case, mold cycle. Out: a `LinePlan`."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from coreset.case import Case, Line, Pattern, Stop
from coreset.case.kinds import ACCUMULATING, FLASKS, INDEX, INDEXING, MACHINE
from coreset.case.stops import FORM_OF_STOPS, running
from coreset.errors import OutOfRange
from coreset.line.cooling import cooling_min
from coreset.line.critical_loop import critical_loop
from coreset.line.departures import StationRow
from coreset.line.line_kinds import POUR, SETTING, SHAKE, at_mold, whole
from coreset.line.method_steps import Activity, Net, net
from coreset.line.service_times import MOLDING, POURING, SHAKE_OUT, TABLE, Work
from coreset.line.station_limits import batched, inner_places, pouring_times_s, rows_after, scattered_s
from coreset.line.step_durations import changed_s
from coreset.units import S_PER_MIN

COUNTED = 400
"""Molds counted in a replication, or somewhat more: `Plan.counted`."""
MOST_WAVES = 4
LEAST_WARM_UP = 100
FILLS = 2
"""Times that the line is filled before counting."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LinePlan:
    """A line to be run: works and stops by station, the row's layout, cooling needed, pattern changes.

    `at_least` are molds of warm-up and molds counted that another line needs which this one is compared with. Where
    stations wait for one another across cycles `net` says how and has a step for each work, the first `front` of them
    those of the mold cycle; `held` are molds on the line at most, `wave` molds after which it repeats itself.
    """

    works: tuple[Work, ...]
    stops: tuple[Stop, ...]
    layout: StationRow
    cooling_s: float
    run_molds: float
    change_s: float
    rest_uptime: float
    at_least: tuple[int, int] = (0, 0)
    net: Net | None = None
    front: int = 1
    held: int = 0
    wave: int = 1
    indexed: bool = False

    @property
    def net_of_line(self) -> Net:
        """The net of a line that has one.

        Raises
        ------
        OutOfRange
            If it has none.
        """
        if self.net is None:
            raise OutOfRange("line must be one whose stations wait across cycles, got a row of stations")
        return self.net

    @property
    def first(self) -> int:
        """Number of the work that a change of pattern comes before: the molding machine's first, else the first."""
        return next((j for j, work in enumerate(self.works) if work.station == MOLDING), 0)

    @property
    def stations(self) -> tuple[str, ...]:
        """Names of the stations in order."""
        return tuple(work.step or work.station for work in self.works)

    @property
    def poured(self) -> int:
        """Number of the station that pours."""
        return self.stations.index(POURING)

    @property
    def cooling_places(self) -> int:
        """Mold places between pouring and shake-out; a station on the way holds one mold."""
        if self.net is not None:
            return self.wave
        return sum(self.layout.places[self.poured :]) + len(self.works) - self.poured - 2

    @property
    def warm_up(self) -> int:
        """Molds run before counting: whole batches, for the last batch of a run must be a whole one."""
        if self.net is not None:
            return max(LEAST_WARM_UP, FILLS * self.held, self.at_least[0])
        least = max(LEAST_WARM_UP, FILLS * (sum(self.layout.places) + len(self.works)), self.at_least[0])
        batch = self.layout.batch_molds
        return batch * math.ceil(least / batch)

    @property
    def counted(self) -> int:
        """Molds counted: whole fillings of the cooling places and whole batches, for they come and go in waves."""
        wave = self.cooling_places if self.cooling_s > 0 else self.wave
        both = math.lcm(wave, self.layout.batch_molds)
        wave = both if both <= MOST_WAVES * COUNTED else wave
        return wave * math.ceil(max(COUNTED, self.at_least[1]) / wave)


def change_min(case: Case, method: str, *, aside: bool = False) -> float:
    """Minutes of the change before a run: set-up of the pattern, and the mask where the method has one.

    With `aside` the setter is swung aside before a run by hand, in the time of a change of mask.

    Parameters
    ----------
    case : Case
        Line and setter with their times of change.
    method : str
        Method of the run that follows the change.
    aside : bool
        Whether the setter is swung aside for the run.
    """
    masked = any(m.mechanised for m in case.methods if m.method == method)
    return case.line.changeover_min + (case.setter.mask_change_min if masked or aside else 0.0)


def plan(case: Case, row: Any, *, changes: float = 0.0) -> LinePlan:
    """The line as the case states it, for one mold cycle.

    Parameters
    ----------
    case : Case
        Line and patterns.
    row : MoldCycle
        Its `sample_s` are the single cycles drawn from.
    changes : float
        Minutes of a pattern change, one after each run; 0 leaves pattern changes out. [min]

    Returns
    -------
    LinePlan
        Listed stops are run: they come on their station's own running time and cost what the places between cannot
        hold off. All other stops are one factor on the whole line, which a change, no running time, is not lengthened
        by.
    """
    if case.line.kind != ACCUMULATING:
        return _net_plan(case, row, changes=changes)
    line, pattern = case.line, case.pattern(row.pattern)
    cooling_s = cooling_min(case, pattern) * S_PER_MIN
    works = [Work(station=MOLDING, seconds=_single_cycles(row), own=machine_share(case, row))]
    places: list[int] = []
    if batched(case) and line.index_s > 0:
        works.append(_constant(TABLE, line.index_s))
        places.append(0)
    works.append(Work(station=POURING, seconds=pouring_times_s(case, pattern)))
    places += [max(line.mold_positions, line.pouring_batch - 1) if batched(case) else line.mold_positions]
    poured, dwell = len(places), [0.0] * (len(places) + 1)
    places.append(inner_places(case))
    for name, stations, index_s in rows_after(case, pattern):
        works.append(_constant(name, index_s))
        places.append(stations - 1)
        dwell.append((stations - 1) * index_s)
    works.append(_constant(SHAKE_OUT, line.shakeout_s))
    layout = StationRow(
        places=tuple(places),
        dwell_s=tuple(dwell),
        hold_s=cooling_s,
        hold_from=poured,
        batch_station=poured if batched(case) else 0,
        batch_molds=line.pouring_batch if batched(case) else 1,
    )
    rest = running(line, case.form).share
    return LinePlan(
        works=tuple(works),
        stops=line.stops,
        layout=layout,
        cooling_s=cooling_s,
        run_molds=run_molds(pattern),
        change_s=changes * S_PER_MIN * rest,
        rest_uptime=rest,
    )


def _net_plan(case: Case, row: Any, *, changes: float = 0.0) -> LinePlan:
    """The line of a kind whose stations wait for one another across cycles, for one mold cycle; see `plan`."""
    line, pattern = case.line, case.pattern(row.pattern)
    cool_s = cooling_min(case, pattern) * S_PER_MIN
    steps = whole(line, row.steps, cool_s=cool_s)
    found = net(steps)
    timed = _by_length(row)
    set_by = set(at_mold(row.steps)) - {INDEX}
    works = tuple(_work(case, pattern, a, timed, set_by) for a in steps)
    places = line.cooling_places if line.kind == INDEXING else line.cooling_places + 1
    flasks = line.flasks if line.kind == FLASKS else 0
    loop = critical_loop(found, [float(work.seconds.mean()) for work in works])[1]
    by_flasks = flasks and SHAKE in loop and any(a.name in loop for a in row.steps)
    rest = running(line, case.form).share
    return LinePlan(
        works=works,
        stops=line.stops,
        layout=StationRow(places=()),
        cooling_s=cool_s,
        run_molds=run_molds(pattern),
        change_s=changes * S_PER_MIN * rest,
        rest_uptime=rest,
        net=found,
        front=len(row.steps),
        held=_held(line, places if cool_s > 0 else 0),
        wave=flasks if by_flasks else places if cool_s > 0 else 1,
        indexed=line.kind == INDEXING,
    )


def _held(line: Line, cooling: int) -> int:
    """Molds on the line at most, those that stand to cool with them where they must."""
    return int(cooling + line.mold_positions + line.open_drags + line.setting_places + line.pouring_places)


def _by_length(row: Any) -> dict[str, np.ndarray]:
    """Timed cycles, the short before the long, so that a slow mold of one method is a slow mold of the other too."""
    timed = dict(row.timed_s)
    if not timed:
        return timed
    order = np.argsort(np.sum(list(timed.values()), axis=0), kind="stable")
    return {name: seconds[order] for name, seconds in timed.items()}


def _work(case: Case, pattern: Pattern, a: Activity, timed: dict[str, np.ndarray], at: set[str]) -> Work:
    """What one step of the net takes, and which station's stops can come in it."""
    if a.name == POUR:
        mean = pattern.pouring_s or case.line.pouring_s
        return Work(station=POURING, seconds=scattered_s(mean, case.line.pouring_cv), step=a.name)
    station = MOLDING if a.by == MACHINE else SETTING if a.name in at else a.name
    station = a.name if a.event else station
    if a.constant_s is not None:
        return Work(station=station, seconds=changed_s(a, np.array(a.constant_sample_s)), step=a.name)
    return Work(station=station, seconds=changed_s(a, timed[a.element]), step=a.name, joint=True)


def _single_cycles(row: Any) -> np.ndarray:
    """Single mold cycles with the mean of all, of which these are a sample. [s]"""
    seconds = np.asarray(row.sample_s, dtype=float)
    mean = float(seconds.mean())
    return seconds * (row.mean_s / mean) if mean > 0 else seconds


def machine_share(case: Case, row: Any) -> float:
    """Share of the mold cycle in which the molding machine itself runs; all of it where no step is the machine's.

    In form 1 of a case stops of molding came by the whole mold cycle.
    """
    shares = getattr(row, "shares", {})
    own = shares[MACHINE][0] if case.form >= FORM_OF_STOPS and MACHINE in shares else 1.0
    return float(own) or 1.0


def _constant(station: str, seconds: float) -> Work:
    return Work(station=station, seconds=np.array([float(seconds)]))


def run_molds(pattern: Pattern) -> float:
    """Molds of one run, at the likely volume."""
    return pattern.molds_per_year.likely / pattern.runs_per_year
