"""What each change of the line brings, alone and together, and what a saved second is worth at each station."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from coreset.case import Case
from coreset.case.kinds import INDEXING
from coreset.line.line_plan import LinePlan, change_min, plan
from coreset.line.net_run import label
from coreset.line.simulation import simulate
from coreset.line.student import half_width

FEWER = 100
"""Replications of each change; on common random numbers differences need few."""
POSITIONS = (1, 2, 4, 8)
COOLING = 0.25
FASTER = 0.10
STEP_S = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Gain:
    """What one change, or several together, bring over the line as it is: molds per scheduled hour, and share.

    `parts` are (name, amount) of the changes. The interval is that of the difference on common random numbers.
    """

    parts: tuple[tuple[str, float], ...]
    molds_per_h: float
    gain_per_h: float
    low: float
    high: float
    share: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SecondSaved:
    """Molds per scheduled hour that one second less a mold brings at one station, or at one step that `by` does."""

    station: str
    gain_per_h: float
    low: float
    high: float
    by: str = ""


def more_positions(case: Case, count: float) -> Case:
    """The line with so many more mold positions between molding and pouring."""
    return replace(case, line=replace(case.line, mold_positions=case.line.mold_positions + int(count)))


def faster_pourer(case: Case, share: float) -> Case:
    """The line with pouring that takes this share less time; the table's index stays."""
    patterns = tuple(replace(p, pouring_s=p.pouring_s * (1 - share)) for p in case.patterns)
    return replace(case, line=replace(case.line, pouring_s=case.line.pouring_s * (1 - share)), patterns=patterns)


def more_cooling(case: Case, count: float) -> Case:
    """The line with so many more cooling places."""
    return replace(case, line=replace(case.line, cooling_places=case.line.cooling_places + int(count)))


CHANGES: dict[str, Callable[[Case, float], Case]] = {
    "positions": more_positions,
    "pourer": faster_pourer,
    "cooling": more_cooling,
}


def gains(
    case: Case,
    now: Any,
    then: Any | None,
    *,
    seed: int = 1,
    replications: int = FEWER,
    progress: Callable[[float], None] | None = None,
) -> tuple[Gain, ...]:
    """Every change alone, then the setter with each other change, then all together; pattern changes are in all.

    Parameters
    ----------
    case : Case
        The line as it is.
    now, then : MoldCycle
        Mold cycle of the pattern by the current method, and with the setter; None leaves the setter out.
    seed, replications : int
        Common to all changes.
    progress : callable, optional
        Called with the share done.

    Returns
    -------
    tuple of Gain
        In that order.
    """
    places = max(1, round(COOLING * case.line.cooling_places))
    rows = [(("positions", float(n)),) for n in POSITIONS if case.line.kind != INDEXING]
    alone = [*rows, (("pourer", FASTER),), (("cooling", float(places)),)]
    joined: list[tuple[tuple[str, float], ...]] = []
    if then is not None:
        setter = ("setter", 1.0)
        most = alone[max(len(rows) - 1, 0) :]
        joined = [(setter,), *((setter, *parts) for parts in most)]
        joined.append((setter, *(parts[0] for parts in most)))
    wanted = alone + joined
    masked = [any(name == "setter" for name, _ in parts) for parts in wanted]
    lines = [_planned(changed(case, parts), then if m else now) for parts, m in zip(wanted, masked, strict=True)]
    start, *lines = same_window([_planned(case, now), *lines])
    base = _draws(start, seed=seed, replications=replications)
    found = []
    for done, (parts, line) in enumerate(zip(wanted, lines, strict=True), start=1):
        found.append(_gain(parts, base, _draws(line, seed=seed, replications=replications)))
        if progress is not None:
            progress(done / len(wanted))
    return tuple(found)


def anchored(found: Iterable[Gain], rate: float) -> tuple[Gain, ...]:
    """Gains as shares of the rate that all rooms use, in place of that of their own few runs."""
    rows = []
    for gain in found:
        scale = rate * gain.share / gain.gain_per_h if gain.gain_per_h else 1.0
        more = scale * gain.gain_per_h
        low, high = scale * gain.low, scale * gain.high
        rows.append(replace(gain, molds_per_h=rate + more, gain_per_h=more, low=low, high=high))
    return tuple(rows)


def _planned(case: Case, row: Any) -> LinePlan:
    return plan(case, row, changes=change_min(case, row.method))


def same_window(lines: list[LinePlan]) -> list[LinePlan]:
    """The same lines, all of them counting the same molds, so that their draws are common mold by mold."""
    window = max(line.warm_up for line in lines), max(line.counted for line in lines)
    return [replace(line, at_least=window) for line in lines]


def changed(case: Case, parts: tuple[tuple[str, float], ...]) -> Case:
    """The case with every named change of its line; the setter changes the mold cycle, not the line."""
    for name, amount in parts:
        case = CHANGES[name](case, amount) if name in CHANGES else case
    return case


def _draws(found: LinePlan, *, seed: int, replications: int) -> np.ndarray:
    return simulate(found, wanted=0.0, most=replications, seed=seed).draws


def _gain(parts: tuple[tuple[str, float], ...], base: np.ndarray, draws: np.ndarray) -> Gain:
    more = draws - base
    reach = half_width(more)
    return Gain(
        parts=parts,
        molds_per_h=float(draws.mean()),
        gain_per_h=float(more.mean()),
        low=float(more.mean() - reach),
        high=float(more.mean() + reach),
        share=float(more.mean() / base.mean()),
    )


def seconds_saved(found: LinePlan, *, seed: int = 1, replications: int = FEWER) -> tuple[SecondSaved, ...]:
    """What one second less a mold brings at each station, the others as they are.

    Parameters
    ----------
    found : LinePlan
        The line.
    seed, replications : int
        Common to all stations.

    Returns
    -------
    tuple of SecondSaved
        Stations in order, those that take no time left out.
    """
    base = _draws(found, seed=seed, replications=replications)
    rows = []
    for j, work in enumerate(found.works):
        if work.seconds.max() <= 0:
            continue
        shorter = replace(work, seconds=np.maximum(work.seconds - STEP_S, 0.0))
        works = (*found.works[:j], shorter, *found.works[j + 1 :])
        gain = _gain((), base, _draws(replace(found, works=works), seed=seed, replications=replications))
        by = label(found.net.activities[j].by) if found.net is not None else work.station
        name = found.stations[j]
        rows.append(SecondSaved(station=name, gain_per_h=gain.gain_per_h, low=gain.low, high=gain.high, by=by))
    return tuple(rows)
