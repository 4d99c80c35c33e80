"""What the setter can carry, reach and do in time, apart from vacuum: payload, layout, depth, air, stroke. In: case."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Any

from coreset.case import Case, Core
from coreset.line.method_steps import SETTER

AIR_AGREES = 0.2
"""Share by which the air of a cycle may differ from what generators take before it is told: our own limit."""
S_PER_MIN = 60.0
TOO_LARGE = frozenset({"size", "mask_area", "off_mask", "overlap", "depth", "payload"})
"""Codes of what no vacuum helps against."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AirDemand:
    """Compressed air of the generators: for a cycle as entered and as they take it [l], and at a time [l/min].

    `most_l_min` is what the compressor leaves for them, 0 where not entered; `differs` and `short` say what is wrong.
    """

    entered_l: float
    taken_l: float
    feed_l_min: float
    most_l_min: float
    differs: bool
    short: bool


def air_demand(case: Case) -> AirDemand | None:
    """Air that the generators take while they hold, against the air entered for a cycle and against the compressor.

    None where the feed of a generator is not entered. An economy circuit never switches off on a porous core, so that
    they take air for as long as a core is held.
    """
    setter = case.setter
    if setter.feed_l_min <= 0:
        return None
    feed = setter.feed_l_min * setter.generators
    taken = feed * setter.held_s / S_PER_MIN
    differs = setter.held_s > 0 and abs(setter.air_l_per_cycle - taken) > AIR_AGREES * taken
    most = setter.compressor_l_min
    return AirDemand(
        entered_l=setter.air_l_per_cycle,
        taken_l=taken,
        feed_l_min=feed,
        most_l_min=most,
        differs=differs,
        short=0 < most < feed,
    )


def least_stroke_s(travel_m: float, acceleration_m_s2: float, speed_m_s: float = 0.0) -> float:
    """Least time to move so far from rest to rest at an acceleration and, where stated, no faster than a speed. [s]

    Parameters
    ----------
    travel_m : float
        Way to go; no time for 0 or less. [m]
    acceleration_m_s2 : float
        Largest acceleration, the same for braking; not stated if 0. [m/s2]
    speed_m_s : float
        Largest speed; not stated if 0. [m/s]

    Examples
    --------
    >>> least_stroke_s(2.0, 2.0), least_stroke_s(2.0, 2.0, 1.0)
    (2.0, 2.5)
    """
    if travel_m <= 0 or acceleration_m_s2 <= 0:
        return 0.0
    if speed_m_s <= 0 or travel_m <= speed_m_s**2 / acceleration_m_s2:
        return 2.0 * math.sqrt(travel_m / acceleration_m_s2)
    return travel_m / speed_m_s + speed_m_s / acceleration_m_s2


def too_short_strokes(case: Case, mold_cycles: Sequence[Any]) -> tuple[tuple[str, str, float, float], ...]:
    """Pattern, method, seconds of the setter's steps and least seconds, wherever the steps are shorter. [s]"""
    setter = case.setter
    least = least_stroke_s(setter.stroke_m, setter.turn_acceleration_m_s2, setter.stroke_speed_m_s)
    found = []
    for row in mold_cycles:
        own = sum(s for a, s in zip(row.steps, row.step_s, strict=True) if a.by == SETTER)
        if 0 < own < least:
            found.append((row.pattern, row.method, own, least))
    return tuple(found)


def breaks(case: Case, core: Core) -> tuple[str, ...]:
    """What cannot go on the mask: size, area of all, place in the layout, depth of the prints, weight of all."""
    setter, every = case.setter, case.on_mask(core.pattern)
    mask, own = sorted((setter.mask_length, setter.mask_width)), sorted((core.length, core.width))
    known = mask[0] > 0
    found = ["size"] if known and (own[0] > mask[0] or own[1] > mask[1]) else []
    if known and sum(c.length * c.width * c.per_mold for c in every) > mask[0] * mask[1]:
        found.append("mask_area")
    if known and core.at_x is not None and core.at_y is not None and _off_mask(case, core):
        found.append("off_mask")
    if any(_overlap(a, b) for a, b in combinations(every, 2) if core in (a, b)):
        found.append("overlap")
    if 0 < setter.lowering < core.height + core.print_depth:
        found.append("depth")
    if 0 < setter.payload < load(case, core.pattern):
        found.append("payload")
    return tuple(found)


def load(case: Case, pattern: str) -> float:
    """Mass of the mask, hoses on it, and all cores on it. [mass of the case]"""
    return case.setter.mask_mass + sum(core.mass * core.per_mold for core in case.on_mask(pattern))


def _corners(core: Core) -> tuple[float, float, float, float] | None:
    """Left, right, lower and upper edge of a core whose middle in the layout is stated."""
    if core.at_x is None or core.at_y is None or core.length * core.width <= 0:
        return None
    x, y = (core.width, core.length) if core.turned else (core.length, core.width)
    return core.at_x - x / 2, core.at_x + x / 2, core.at_y - y / 2, core.at_y + y / 2


def _off_mask(case: Case, core: Core) -> bool:
    """Whether a core reaches beyond the mask, whose middle is that of the mold."""
    edges = _corners(core)
    x, y = case.setter.mask_length / 2, case.setter.mask_width / 2
    return edges is not None and (edges[0] < -x or edges[1] > x or edges[2] < -y or edges[3] > y)


def _overlap(one: Core, other: Core) -> bool:
    """Whether two cores lie over one another in the layout."""
    a, b = _corners(one), _corners(other)
    if a is None or b is None:
        return False
    return a[0] < b[1] and b[0] < a[1] and a[2] < b[3] and b[2] < a[3]
