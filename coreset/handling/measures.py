"""Measures a plant can take, by name: which values each may change, and the index that the indivisible ones give."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from coreset.case import Lift
from coreset.errors import OutOfRange
from coreset.handling.constants import COUPLINGS, constants
from coreset.handling.covers import REACH_MIN
from coreset.handling.en_iso import factored_index
from coreset.handling.ends import TaskAt, index_of, limit_at
from coreset.handling.redesign import in_halves, usual_ranges, with_hold

LEVERS = {
    "rack_height": ("vertical_origin",),
    "rack_near": ("horizontal_origin",),
    "mask_height": ("vertical_destination",),
    "mask_tilt": ("horizontal_destination",),
    "platform": ("vertical_origin", "vertical_destination"),
    "turntable": ("asymmetry_origin_deg", "asymmetry_destination_deg"),
    "slower": ("frequency_per_min",),
    "lighter_core": ("mass",),
}
"""Values that each measure may change; those of `INDIVISIBLE` are all or nothing."""
INDIVISIBLE = ("split_core", "two_persons", "hoist", "handles")
LIGHTEST_SHARE = 0.5  # common practice, no source: a hollow core of half the mass
PLATFORM_MAX = {"metric": 60.0, "us": 24.0}  # common practice, no source: a step that is still safe to work from
PLATFORM_POINTS = 121
SLIDER_LIMIT_SHARE = 1.2


@dataclass(frozen=True, slots=True, kw_only=True)
class Measure:
    """One indivisible measure: its code, the index then (None where there is none to give), and its detail."""

    code: str
    index: float | None
    detail: str = ""
    height: float = 0.0


def allowed(task: TaskAt, names: tuple[str, ...]) -> dict[str, tuple[float, float]]:
    """Usual ranges of the values that the named measures may change; all where none is named.

    Raises
    ------
    OutOfRange
        If a measure has no such name.
    """
    known = (*LEVERS, *INDIVISIBLE)
    for name in names:
        if name not in known:
            raise OutOfRange(f"change must be one of {', '.join(known)}, got {name!r}")
    ranges = usual_ranges(task)
    mass = task.values["mass"]
    if "lighter_core" in names:
        ranges["mass"] = (LIGHTEST_SHARE * mass, mass)
    if not names:
        return ranges
    values = {value for name in names for value in LEVERS.get(name, ())}
    return {name: span for name, span in ranges.items() if name in values}


def whole_measures(task: TaskAt, lift: Lift, *, hours: float = 8.0) -> tuple[Measure, ...]:
    """Index with each indivisible measure: two parts, better hold, platform, two persons, hoist.

    Two persons with EN/ISO factors [en1005_2], from memory: never a NIOSH result.
    """
    found = [Measure(code="halves", index=_known(index_of(in_halves(task))))]
    for hold in COUPLINGS[: COUPLINGS.index(task.coupling)]:
        found.append(Measure(code="hold", index=_known(index_of(with_hold(task, hold))), detail=hold))
    raised = _platform(task)
    if raised.height:
        found.append(raised)
    rwl = float(limit_at(task))
    if rwl > 0 and hours <= 12.0:
        shared = factored_index(rwl, task.values["mass"], hands=2, persons=2, hours=hours)
        found.append(Measure(code="two_persons", index=shared.index))
    found.append(Measure(code="hoist", index=None))
    return tuple(found)


def _platform(task: TaskAt) -> Measure:
    """The best height of a platform: the hands are then lower over the operator's own floor at both ends."""
    v = task.values
    highest = min(PLATFORM_MAX[task.units], v["vertical_origin"], v["vertical_destination"])
    steps = np.linspace(0.0, max(highest, 0.0), PLATFORM_POINTS)
    index = index_of(
        task,
        vertical_origin=v["vertical_origin"] - steps,
        vertical_destination=v["vertical_destination"] - steps,
    )
    best = int(np.argmin(index))
    return Measure(code="platform", index=_known(float(index[best])), height=float(steps[best]))


def _known(index: float) -> float | None:
    return float(index) if math.isfinite(index) else None


def slider(name: str, task: TaskAt) -> tuple[float, float, float]:
    """Lowest, highest and step of a value that can be moved by hand, today's value inside."""
    c, now = constants(task.units), task.values[name]
    if name.startswith("horizontal"):
        span = REACH_MIN[task.units], SLIDER_LIMIT_SHARE * c.horizontal_limit, 0.5
    elif name.startswith("vertical"):
        span = 0.0, SLIDER_LIMIT_SHARE * c.vertical_limit, 1.0
    elif name.startswith("asymmetry"):
        span = 0.0, 180.0, 1.0
    elif name == "frequency_per_min":
        span = 0.1, c.frequency_limit, 0.1
    else:
        span = 0.1, 2.0 * max(now, c.load_constant / 2), 0.1
    low, high, step = span
    return float(min(low, now)), float(max(round(high), now)), step


def moved(task: TaskAt, values: dict[str, float], coupling: str) -> TaskAt:
    """The task with the values of the sliders."""
    return replace(task, values={**task.values, **values}, coupling=coupling)
