"""A line whose stations wait for one another across several cycles, run as one net: who stands, and what sets its pace.

In: a plan with a net, seconds of every step. Out: times, shares of each worker's time, what the critical path holds.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from coreset.case.kinds import INDEX, MACHINE
from coreset.line.departures import Passage
from coreset.line.line_kinds import CLOSER, DONE, LINE, MADE, OPENED, POUR, POURED, POURER, SET, SHAKE
from coreset.line.method_steps import Net
from coreset.line.recursion import finish_times
from coreset.line.service_times import MOLDING, POURING, Services

if TYPE_CHECKING:
    from coreset.line.line_plan import LinePlan

COOLING, FLASKS, PACE, STOP, REST = "cooling", "flasks", "pace", "stop", "rest"
LABELS = {MACHINE: MOLDING, POURER: POURING, LINE: INDEX, CLOSER: "closing"}
LEAVING = (MADE, SET, DONE, POURED, OPENED)
"""Moments before which a station stands with a finished mold that has no place to go."""
ALIKE_S = 1e-9
Root = tuple[str, str, str]


def label(by: str) -> str:
    """Name under which a worker's time is shown."""
    return LABELS.get(by, by)


def passage_of(net: Net, seconds: NDArray[np.float64]) -> Passage:
    """Times of every step, each (steps, molds, replications), from an empty line. [s]"""
    leave = np.swapaxes(finish_times(net, np.swapaxes(seconds, 0, 1)), 0, 1)
    return Passage(start=leave - seconds, leave=leave)


def without_cooling(net: Net) -> Net:
    """The same net with no mold held for cooling."""
    kept = (
        replace(a, waits=tuple(replace(w, delay_s=0.0) if w.step == POUR else w for w in a.waits))
        for a in net.activities
    )
    return replace(net, activities=tuple(kept))


def losses(
    found: LinePlan, times: Passage, drawn: Services
) -> tuple[dict[str, list[float]], dict[str, dict[Root, float]]]:
    """Shares of each worker's time (working, stopped, blocked, starved), and what standing comes from, by worker.

    Parameters
    ----------
    found : LinePlan
        A line with a net of K steps.
    times : Passage
        Its run, (K, molds, replications). [s]
    drawn : Services
        Seconds of the run: work, and work with stops.

    Raises
    ------
    OutOfRange
        If the line is a row of stations, without a net.
    """
    net, kept = found.net_of_line, slice(found.warm_up, None)
    elapsed = float((times.leave[-1, -1] - times.leave[-1, found.warm_up - 1]).mean()) / found.counted
    stopped = drawn.total_s - drawn.work_s
    parts: dict[str, list[float]] = {}
    roots: dict[str, dict[Root, float]] = {}
    causes = _Causes(net, times, stopped, drawn)
    causes.settle()
    for who in net.who:
        own = [k for k, a in enumerate(net.activities) if a.by == who]
        if float(drawn.total_s[own].max(initial=0.0)) <= 0 or all(net.activities[k].event for k in own):
            continue
        turns = elapsed * max(net.activities[k].turns for k in own)
        stood = {"blocked": 0.0, "starved": 0.0}
        into: dict[Root, float] = defaultdict(float)
        for k in own:
            for how, kind, name, seconds in causes.told(k, kept):
                stood[how] += seconds / turns
                into[how, kind, name] += seconds / turns
        for added in drawn.added:
            if added.station in own:
                into["stopped", added.kind, added.name] += float(added.seconds[kept].mean()) / turns
        work = float(drawn.work_s[own][:, kept].mean(axis=(1, 2)).sum()) / turns
        halted = float(stopped[own][:, kept].mean(axis=(1, 2)).sum()) / turns
        parts[label(who)] = [work, halted, stood["blocked"], stood["starved"]]
        roots[label(who)] = {root: share for root, share in into.items() if share > 0}
    return parts, roots


class _Causes:
    """For every step of every mold: how long its worker stood before it, and the step that was waited for.

    A moment passes on what itself was waited for, so that a cause always is work, cooling or flasks that come back.
    """

    def __init__(self, net: Net, times: Passage, stopped: NDArray[np.float64], drawn: Services) -> None:
        self.net, self.times, self.stopped = net, times, stopped
        self.names: dict[int, str] = {}
        for one in drawn.added:
            self.names[one.station] = " / ".join(filter(None, [self.names.get(one.station, ""), one.name]))
        self.index_s = next((float(a.constant_s or 0.0) for a in net.activities if a.name == INDEX), 0.0)
        shape = times.leave.shape
        self.stood = np.zeros(shape)
        self.cause = np.full(shape, -1, dtype=np.int16)
        self.halted = np.zeros(shape)
        self.by_index = np.zeros(shape, dtype=bool)

    def settle(self) -> None:
        """Fill in all steps, until what moments pass on from cycle to cycle has come to its end."""
        for _ in range(len(self.net.activities)):
            before = self.cause.copy()
            for k in self.net.order:
                self.follow(k)
            if (before == self.cause).all():
                return

    def follow(self, k: int) -> None:
        """Fill in one step from what is known of those that it waits for."""
        net, leave, molds = self.net, self.times.leave, self.times.leave.shape[1]
        previous, back = net.before[k]
        free = _back(leave[previous], back)
        self.stood[k] = np.maximum(self.times.start[k] - free, 0.0)
        latest = free + ALIKE_S
        code, halted = _back(self._source(previous)[0], back, -1), _back(self._source(previous)[1], back)
        index = net.names.index(INDEX) if INDEX in net.names else -1
        for (i, lag), delay in zip(net.waits(k), net.delays_s(k), strict=True):
            if lag >= molds:
                continue
            ready = _back(leave[i] + delay, lag)
            later = ready > latest
            if delay:
                source = np.full(leave[i].shape, self._delayed(i), dtype=np.int16), np.zeros(leave[i].shape)
            else:
                source = self._source(i)
            code = np.where(later, _back(source[0], lag, -1), code)
            halted = np.where(later, _back(source[1], lag), halted)
            self.by_index[k] = np.where(later, i == index, self.by_index[k])
            latest = np.maximum(latest, ready)
        self.cause[k], self.halted[k] = code, halted

    def _source(self, i: int) -> tuple[NDArray[np.int16], NDArray[np.float64]]:
        """What waiting for step i is put down to, and how long that stopped."""
        if self.net.activities[i].event or self.net.activities[i].name == INDEX:
            return self.cause[i], self.halted[i]
        return np.full(self.cause[i].shape, i, dtype=np.int16), self.stopped[i]

    def _delayed(self, i: int) -> int:
        """Codes for what is waited for after a step: heat to go, a flask to come back, a mold to be moved."""
        count = len(self.net.activities)
        return {POUR: count, SHAKE: count + 1}.get(self.net.names[i], -1)

    def told(self, k: int, kept: slice) -> list[tuple[str, str, str, float]]:
        """Standing before one step: how, kind and name of the cause, mean seconds of a counted mold."""
        net, found = self.net, []
        stood, cause, halted = self.stood[k, kept], self.cause[k, kept], self.halted[k, kept]
        leaving = net.activities[k].name in LEAVING
        front = self.by_index[k, kept] & (net.activities[k].by not in (POURER, SHAKE))
        turned = np.where(self.by_index[k, kept], np.minimum(stood, self.index_s), 0.0)
        for how, chosen in (("blocked", front | leaving), ("starved", ~(front | leaving))):
            if (index := float(np.where(chosen, turned, 0.0).mean())) > 0:
                found.append((how, PACE, INDEX, index))
            for code in np.unique(cause[chosen & (stood > turned + ALIKE_S)]):
                here = np.where(chosen & (cause == code), stood - turned, 0.0)
                stop = np.minimum(here, halted)
                kind, name = self._name(int(code))
                found.append((how, kind, name, float((here - stop).mean())))
                if code >= 0 and float(stop.max()) > 0:
                    found.append((how, STOP, self.names.get(int(code), ""), float(stop.mean())))
        return found

    def _name(self, code: int) -> tuple[str, str]:
        count = len(self.net.activities)
        if code < 0:
            return REST, ""
        if code >= count:
            return (COOLING, "") if code == count else (FLASKS, "")
        return PACE, label(self.net.activities[code].by)


def _back(values: NDArray[Any], lag: int, empty: float = 0.0) -> NDArray[Any]:
    """Values of so many molds before; before the first mold there is nothing."""
    if not lag:
        return values
    found = np.full_like(values, empty)
    found[lag:] = values[:-lag]
    return found


def limiting_part(found: LinePlan, times: Passage) -> str:
    """The part of the line with most seconds on the critical path of the runs: what limits.

    Molding stands for all of the method's steps and the index; cooling and flasks for the time that molds and flasks
    take on their own.
    """
    net = found.net_of_line
    own_s, late_s = _on_critical_path(found, times)
    seconds: dict[str, float] = defaultdict(float)
    for k, by_step in enumerate(own_s):
        seconds[_part(found, k)] += float(by_step)
    for name, part in ((POUR, COOLING), (SHAKE, FLASKS)):
        seconds[part] += float(late_s[net.names.index(name)])
    return max(seconds, key=lambda name: seconds[name])


def _on_critical_path(found: LinePlan, times: Passage) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Seconds of each step, and of delays after each step, on the way back from the last mold in all replications."""
    net = found.net_of_line
    count, longs = len(net.activities), times.leave - times.start
    links = [_links(net, k) for k in range(count)]
    widest = max(len(row) for row in links)
    table = np.array([row + [row[0]] * (widest - len(row)) for row in links])
    source, lag, delay = table[..., 0].astype(int), table[..., 1].astype(int), table[..., 2]
    runs = np.arange(times.leave.shape[2])
    at, mold = np.full(len(runs), count - 1), np.full(len(runs), times.leave.shape[1] - 1)
    own_s, late_s = np.zeros(count), np.zeros(count)
    while len(runs):
        own_s += np.bincount(at, weights=longs[at, mold, runs], minlength=count)
        before = mold[:, None] - lag[at]
        ready = times.leave[source[at], np.maximum(before, 0), runs[:, None]] + delay[at]
        ready[before < 0] = -np.inf
        pick = np.arange(len(runs)), ready.argmax(axis=1)
        at, mold, late = source[at][pick], before[pick], delay[at][pick]
        late_s += np.bincount(at, weights=late, minlength=count)
        live = mold >= found.warm_up
        if not live.all():
            at, mold, runs = at[live], mold[live], runs[live]
    return own_s, late_s


def _links(net: Net, k: int) -> list[tuple[int, int, float]]:
    """What step k comes after: step, cycles back, delay."""
    previous, back = net.before[k]
    waits = zip(net.waits(k), net.delays_s(k), strict=True)
    return [(previous, back, 0.0), *((i, lag, delay) for (i, lag), delay in waits)]


def _part(found: LinePlan, k: int) -> str:
    return MOLDING if k < found.front else label(found.net_of_line.activities[k].by)
