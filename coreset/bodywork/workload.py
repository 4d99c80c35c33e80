"""Energy and heat of the lifts of a pattern at standard pace, against the limits for both."""

from __future__ import annotations

import itertools
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Any

from coreset.bodywork.carry_energy import PLACES, Carried, carry_kcal, hold_kcal, lift_kcal, push_kcal, walk_kcal
from coreset.bodywork.energy import (
    STANDARD_BODY_KG,
    Vertical,
    coefficients,
    component_kcal_per_min,
    energy_limit_kcal_per_min,
    murrell_rest_min,
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
from coreset.lifting.en_iso import in_kg_and_m
from coreset.lifting.pushing import SCALE
from coreset.lifting.screen import duration_of, frequency, standard_seconds
from coreset.units import KG_PER_LB, MIN_PER_H, N_PER_KGF

M_PER_LENGTH = {"metric": 0.01, "us": 0.0254}
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

    `kcal_per_min` by components for the body mass of the place, the same for every load and pace of a class;
    `lifting_kcal_per_min` by terms of standing, lifts, carries, holds and pushes, with the least
    and the most that stoop or squat, man or woman, carrying at the waist or the sides, an upright or bent back and the
    height of a push give (all reprinted). `watts`, Murrell's
    rest in an hour and heat take the larger of the components and the most.
    """

    pattern: str
    method: str
    components_kcal_per_min: float
    kcal_per_min: float
    watts: float
    lifting_kcal_per_min: float
    lifting_low_kcal_per_min: float
    lifting_high_kcal_per_min: float
    limit_kcal_per_min: float
    rest_min_per_h: float
    heat: Heat | None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Move:
    """A lift at its pace: load of one person, heights, carry, hands."""

    lift: Lift
    vertical: Vertical
    carried: Carried
    per_min: float


def body_kg(case: Case) -> float:
    """Body mass for which energy is estimated, the standard one where none is entered. [kg]"""
    entered = case.place.body_mass
    return STANDARD_BODY_KG if entered is None else entered * (KG_PER_LB if case.units == "us" else 1.0)


def _move(case: Case, lift: Lift, mass: float, per_min: float) -> _Move:
    scale = M_PER_LENGTH[case.units]
    start, goal = lift.vertical_origin * scale, lift.vertical_destination * scale
    load, distance = in_kg_and_m(lift, mass / lift.persons, case.units)
    body = body_kg(case)
    vertical = Vertical(
        load_kg=load, low_m=min(start, goal), high_m=max(start, goal), body_kg=body, lowering=goal < start
    )
    carried = Carried(load_kg=load, distance_m=distance, body_kg=body)
    return _Move(lift=lift, vertical=vertical, carried=carried, per_min=per_min)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Pushes:
    """The pushes of a setting: force [kgf], way [m] and how often [1/min] of each; most of two heights, or least."""

    each: tuple[tuple[float, float, float], ...]
    most: bool = True

    def kcal_per_min(self, body_kg: float, *, men: bool) -> float:
        """Energy of all of them. [kcal/min]"""
        found = (push_kcal(force, way, body_kg=body_kg, men=men)[self.most] * times for force, way, times in self.each)
        return sum(found)


def _pushes(case: Case, paced: Iterable[tuple[Lift, float]]) -> _Pushes:
    """Pushes of lifts at their pace; the force that keeps it moving, else the one that starts it."""
    newton, _, meter = SCALE[case.units]
    each = [
        ((lift.push_keep or lift.push_start) * newton / N_PER_KGF, lift.push_distance * meter, per_min)
        for lift, per_min in paced
        if lift.push_distance and per_min == per_min
    ]
    return _Pushes(each=tuple(each))


def _terms(
    moves: Iterable[_Move], pushes: _Pushes, body_kg: float, *, style: str, men: bool, place: str, posture: str
) -> float:
    """Energy of posture, lifts, carries and walks back, holds and pushes in one way of doing them. [kcal/min]"""
    total = coefficients()[posture] * body_kg + pushes.kcal_per_min(body_kg, men=men)
    for move in moves:
        once = lift_kcal(replace(move.vertical, style=style, men=men), hands=move.lift.hands)
        carried = replace(move.carried, place=place)
        once += hold_kcal(carried, move.lift.hold_s, hands=move.lift.hands)
        total += move.per_min * (once + carry_kcal(carried) + walk_kcal(carried))
    return total


def _range(moves: list[_Move], pushes: _Pushes, body_kg: float) -> tuple[float, float]:
    """Least and most of the terms over stoop or squat, woman or man, carried at sides or waist, upright or bent, and
    pushes with the hands low or high.
    """
    ways = itertools.product(("stoop", "squat"), (False, True), PLACES, ("standing", "standing_bent"))
    found = [
        _terms(moves, replace(pushes, most=most), body_kg, style=s, men=m, place=p, posture=q)
        for (s, m, p, q), most in itertools.product(ways, (False, True))
    ]
    return min(found), max(found)


def heat_of(place: Place, watts: float, *, units: str) -> Heat | None:
    """Heat at a place for a metabolic rate; None where neither WBGT nor wet bulb and globe were measured.

    Parameters
    ----------
    place : Place
        WBGT or what it is built from in its unit set (the larger counts), sun, clothing, acclimatized or not.
    watts : float
        Metabolic rate of the work. [W]
    units : {"metric", "us"}
        Unit set of the temperatures, deg C or deg F.
    """
    measured = [] if place.wbgt is None else [celsius(place.wbgt, units)]
    if place.wet_bulb is not None and place.globe is not None:
        air_c = None if place.temperature is None else celsius(place.temperature, units)
        wet_bulb_c, globe_c = celsius(place.wet_bulb, units), celsius(place.globe, units)
        measured.append(wbgt(wet_bulb_c=wet_bulb_c, globe_c=globe_c, air_c=air_c, sun=place.sun))
    if not measured:
        return None
    bare = max(measured)
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
        Standing with both arms, heavily where a load reaches 3 kg, scaled to the body mass by [acgih1992]; terms by
        [garg1978], reprinted: a man who stoops and carries at the waist, walking back after each carry.
    """
    own = [lift for lift in case.lifts if (lift.pattern, lift.method) == (pattern, method)]
    paced = [(lift, frequency(case, lift, standard_s)[0]) for lift in own]
    pushes = _pushes(case, paced)
    lifts = [lift for lift in own if not lift.hoist]
    moves = []
    for lift, per_min in paced:
        mass = case.mass_of(lift)
        if not lift.hoist and per_min == per_min and mass == mass:
            moves.append(_move(case, lift, mass, per_min))
    heavy = any(move.vertical.load_kg >= HEAVY_KG for move in moves)
    work = "" if not moves else "both arms heavy" if heavy else "both arms light"
    components = component_kcal_per_min("standing", work)
    body = body_kg(case)
    kcal = components * body / STANDARD_BODY_KG
    lowest = min((min(m.lift.vertical_origin, m.lift.vertical_destination) for m in moves), default=0.0)
    classes = [DURATIONS.index(duration_of(case, lift)) for lift in lifts]
    low, high = _range(moves, pushes, body)
    larger = max(kcal, high)
    watts = larger * W_PER_KCAL_MIN
    return Workload(
        pattern=pattern,
        method=method,
        components_kcal_per_min=components,
        kcal_per_min=kcal,
        watts=watts,
        lifting_kcal_per_min=_terms(moves, pushes, body, style="stoop", men=True, place="waist", posture="standing"),
        lifting_low_kcal_per_min=low,
        lifting_high_kcal_per_min=high,
        limit_kcal_per_min=energy_limit_kcal_per_min(DURATIONS[max(classes, default=2)], lowest, units=case.units),
        rest_min_per_h=murrell_rest_min(larger, MIN_PER_H),
        heat=heat_of(case.place, watts, units=case.units),
    )


def workloads(case: Case, standards: Iterable[Any]) -> tuple[Workload, ...]:
    """Energy and heat of every pattern and method that has lifts and a standard."""
    seconds = standard_seconds(standards)
    pairs = dict.fromkeys((lift.pattern, lift.method) for lift in case.lifts)
    return tuple(workload(case, pattern=p, method=m, standard_s=seconds[p, m]) for p, m in pairs if (p, m) in seconds)
