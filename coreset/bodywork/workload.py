"""Energy and heat of the lifts of a pattern at standard pace, against the limits for both."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from coreset.bodywork.energy import (
    STANDARD_BODY_KG,
    Vertical,
    component_kcal_per_min,
    energy_limit_kcal_per_min,
    murrell_rest_min,
    standing_kcal_per_min,
    vertical_kcal,
)
from coreset.bodywork.heat import (
    W_PER_KCAL_MIN,
    Limit,
    clothing_adjustment_c,
    iso_limit,
    niosh_limit,
    wbgt,
    work_minutes_per_h,
)
from coreset.case import Case, Lift, Place, celsius
from coreset.lifting.constants import DURATIONS
from coreset.lifting.screen import duration_of, frequency, standard_seconds
from coreset.units import KG_PER_LB, MIN_PER_H

M_PER_LENGTH = {"metric": 0.01, "us": 0.0254}
BEND_M = 0.81  # [garg1978] height that parts stoop from arm lifts
HEAVY_KG = 3.0  # common practice, no source: from here both arms work heavily in the component table
ISO_EDITION = "2017"


@dataclass(frozen=True, slots=True, kw_only=True)
class Heat:
    """Heat at the work place: WBGT with clothing, limits by scheme, minutes of an hour that may be worked."""

    wbgt_c: float
    adjusted_c: float
    niosh: Limit
    iso: tuple[Limit, ...]
    work_min_per_h: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Workload:
    """Energy of one pattern under one method.

    `kcal_per_min` by components (reprinted) for the body mass of the place, `lifting_kcal_per_min` by lifting terms
    (reprinted), the stricter energy limit of its tasks, Murrell's rest in an hour by the components, and heat where the
    place was measured.
    """

    pattern: str
    method: str
    components_kcal_per_min: float
    kcal_per_min: float
    watts: float
    lifting_kcal_per_min: float
    limit_kcal_per_min: float
    rest_min_per_h: float
    heat: Heat | None


def _vertical(case: Case, lift: Lift, mass: float) -> Vertical:
    scale = M_PER_LENGTH[case.units]
    start, goal = lift.vertical_origin * scale, lift.vertical_destination * scale
    low, high = min(start, goal), max(start, goal)
    return Vertical(
        load_kg=mass / lift.persons if case.units == "metric" else mass / lift.persons * KG_PER_LB,
        low_m=low,
        high_m=high,
        style="arm" if low >= BEND_M else "stoop",
        body_kg=case.place.body_mass_kg,
        lowering=goal < start,
    )


def heat_of(place: Place, watts: float, *, units: str) -> Heat | None:
    """Heat at a place for a metabolic rate; None where wet bulb and globe were not measured."""
    if place.wet_bulb is None or place.globe is None:
        return None
    bare = wbgt(
        wet_bulb_c=celsius(place.wet_bulb, units),
        globe_c=celsius(place.globe, units),
        air_c=None if place.temperature is None else celsius(place.temperature, units),
        sun=place.sun,
    )
    dressed = bare + clothing_adjustment_c(place.clothing)
    resting_w = component_kcal_per_min("sitting", "") * W_PER_KCAL_MIN
    used = place.acclimatized
    return Heat(
        wbgt_c=bare,
        adjusted_c=dressed,
        niosh=niosh_limit(watts, acclimatized=used),
        iso=tuple(iso_limit(watts, acclimatized=used, edition=edition) for edition in ("1989", ISO_EDITION)),
        work_min_per_h=work_minutes_per_h(dressed, work_w=watts, rest_w=resting_w, acclimatized=used),
    )


def workload(case: Case, *, pattern: str, method: str, standard_s: float) -> Workload:
    """Energy and heat of setting one pattern's cores at standard pace.

    Parameters
    ----------
    case : Case
        Lifts, masses, place.
    pattern, method : str
        Whose lifts.
    standard_s : float
        Standard time per mold. [s]

    Returns
    -------
    Workload
        Standing with both arms, heavily where a load reaches 3 kg, scaled to the body mass by [acgih1992]; lifting
        terms by [garg1978], reprinted.
    """
    lifts = [lift for lift in case.lifts if (lift.pattern, lift.method) == (pattern, method) and not lift.hoist]
    moves = []
    for lift in lifts:
        per_min, mass = frequency(case, lift, standard_s)[0], case.mass_of(lift)
        if per_min == per_min and mass == mass:
            moves.append((_vertical(case, lift, mass), per_min, lift))
    heavy = any(move.load_kg >= HEAVY_KG for move, _, _ in moves)
    work = "" if not moves else "both arms heavy" if heavy else "both arms light"
    components = component_kcal_per_min("standing", work)
    kcal = components * case.place.body_mass_kg / STANDARD_BODY_KG
    lowest = min((min(m[2].vertical_origin, m[2].vertical_destination) for m in moves), default=0.0)
    classes = [DURATIONS.index(duration_of(case, lift)) for lift in lifts]
    standing = standing_kcal_per_min(case.place.body_mass_kg)
    watts = kcal * W_PER_KCAL_MIN
    return Workload(
        pattern=pattern,
        method=method,
        components_kcal_per_min=components,
        kcal_per_min=kcal,
        watts=watts,
        lifting_kcal_per_min=standing + sum(vertical_kcal(move) * f for move, f, _ in moves),
        limit_kcal_per_min=energy_limit_kcal_per_min(DURATIONS[max(classes, default=2)], lowest, units=case.units),
        rest_min_per_h=murrell_rest_min(kcal, MIN_PER_H),
        heat=heat_of(case.place, watts, units=case.units),
    )


def workloads(case: Case, standards: Iterable[Any]) -> tuple[Workload, ...]:
    """Energy and heat of every pattern and method that has lifts and a standard."""
    seconds = standard_seconds(standards)
    pairs = dict.fromkeys((lift.pattern, lift.method) for lift in case.lifts)
    return tuple(workload(case, pattern=p, method=m, standard_s=seconds[p, m]) for p, m in pairs if (p, m) in seconds)
