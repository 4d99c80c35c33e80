"""Measures that are all or nothing, each with the index that it would give."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from coreset.case import Lift
from coreset.lifting.constants import COUPLINGS
from coreset.lifting.en_iso import factored_index
from coreset.lifting.infrequent import short_index
from coreset.lifting.lever_ranges import highest_platform
from coreset.lifting.redesign import in_halves, with_hold
from coreset.lifting.task_values import TaskAt, index_of, limit_at

PLATFORM_POINTS = 121
LEAST_TRAVEL = 1e-9
"""An entered D that is no longer there: 0 would take the difference of the heights. [length]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Measure:
    """One indivisible measure: its code, the index then (None where there is none to give), and its detail."""

    code: str
    index: float | None
    detail: str = ""
    height: float = 0.0


def whole_measures(task: TaskAt, lift: Lift, *, hours: float = 8.0) -> tuple[Measure, ...]:
    """Index with each indivisible measure: two parts, better hold, platform, short duration, a team, hoist.

    Only a core can be split: a mask or a rack is not. Two or three persons with the factors of a national guide
    [hse2004], reprinted: never a NIOSH result.

    Parameters
    ----------
    task : TaskAt
        The lift as it stands.
    lift : Lift
        Row that it comes from.
    hours : float
        Hours of the shift, for the factors of a team; none above 12. [h]
    """
    found = [Measure(code="halves", index=_known(index_of(in_halves(task))))] if lift.core else []
    for hold in COUPLINGS[: COUPLINGS.index(task.coupling)]:
        found.append(Measure(code="hold", index=_known(index_of(with_hold(task, hold))), detail=hold))
    raised = _platform(task)
    if raised.height:
        found.append(raised)
    if (short := short_index(task)) is not None:
        found.append(Measure(code="seldom", index=_known(short)))
    rwl = float(limit_at(task))
    if rwl > 0 and hours <= 12.0:
        for persons, code in ((2, "two_persons"), (3, "three_persons")):
            shared = factored_index(rwl, task.values["mass"], hands=2, persons=persons, hours=hours)
            found.append(Measure(code=code, index=shared.index))
    found.append(Measure(code="hoist", index=None))
    return tuple(found)


def _platform(task: TaskAt) -> Measure:
    """The best height of a platform: the hands are then lower over the operator's own floor at both ends."""
    steps = np.linspace(0.0, highest_platform(task), PLATFORM_POINTS)
    index = index_of(task, platform=steps)
    best = int(np.argmin(index))
    return Measure(code="platform", index=_known(float(index[best])), height=float(steps[best]))


def _known(index: float | NDArray[np.float64]) -> float | None:
    return float(index) if math.isfinite(index) else None


def moved(task: TaskAt, values: dict[str, float], coupling: str) -> TaskAt:
    """The task with other values; an entered D keeps what it has over the difference of the heights.

    Parameters
    ----------
    task : TaskAt
        The lift as it stands.
    values : dict of str to float
        What changes, by name as in `TaskAt.values`. [length, degrees, lifts/min, mass]
    coupling : str
        good, fair or poor.
    """
    after = {**task.values, **values}
    before, now = (abs(v["vertical_destination"] - v["vertical_origin"]) for v in (task.values, after))
    travel = max(LEAST_TRAVEL, task.travel + now - before) if task.travel else 0.0
    return replace(task, values=after, coupling=coupling, travel=travel)


def about(task: TaskAt, depth: float) -> TaskAt:
    """The task whose mask or mold tilts about an edge that lies so far before the place."""
    return replace(task, depth=depth)
