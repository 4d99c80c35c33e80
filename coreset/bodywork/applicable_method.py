"""Which method fits a task, decided from its data, and what it says where the lifting equation is silent."""

from __future__ import annotations

from dataclasses import dataclass

from coreset.bodywork.hand_work import Hands, Strain, revised_strain_index, strain_index
from coreset.case import Case, Lift
from coreset.lifting.en_iso import Carrying, Factored
from coreset.lifting.pushing import Pushed, pushed
from coreset.lifting.scope import CARRY_MAX, LIGHT
from coreset.lifting.screen import factored
from coreset.lifting.screened_task import Screened
from coreset.units import MIN_PER_H

FREQUENT_PER_MIN = 4.0  # [moore1995] from here the rating of efforts a minute is above its lowest
REMAINS_UNDER_HOIST = ("push_pull", "hand_force", "pinch", "control")
"""What is left to judge when a hoist bears the weight: no confirmed limit is built in for these."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Fitting:
    """Methods that fit one task, and what they say.

    `methods`: lifting (revised NIOSH equation), hand_work (Strain Index), factored (NIOSH form with factors for
    one hand or a team), carrying (ISO 11228-1), pushing (guideline figures of a risk filter), reach (held while
    standing: recorded, no limit is built in), remaining (a hoist bears the weight). `missing` names data that a method
    still needs.
    """

    pattern: str
    method: str
    task: str
    methods: tuple[str, ...]
    why: tuple[str, ...]
    factored: Factored | None = None
    strain: Strain | None = None
    revised: Strain | None = None
    carrying: Carrying | None = None
    push: Pushed | None = None
    reach_s: float = 0.0
    remaining: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()


def methods_for(
    lift: Lift, *, mass: float, frequency_per_min: float, units: str
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Methods that fit a task, and why, as codes.

    Parameters
    ----------
    lift : Lift
        Hands, persons, posture, carry and hoist of the task.
    mass : float
        Load. [kg, or lb]
    frequency_per_min : float
        Lifts a minute. [1/min]
    units : {"metric", "us"}
        Unit set of mass and carry.

    Examples
    --------
    >>> lift = Lift(task="t", method="m", pattern="p", horizontal_origin=30, vertical_origin=80,
    ...     horizontal_destination=30, vertical_destination=80, hands=1)
    >>> methods_for(lift, mass=1.2, frequency_per_min=8.0, units="metric")
    (('hand_work',), ('one_hand', 'light_and_frequent'))
    """
    forced = bool(lift.push_start or lift.push_keep)
    if lift.hoist:
        return ("pushing",) * forced + ("reach",) * (lift.reach_s > 0) + ("remaining",), ("hoist",)
    light = mass < LIGHT[units]
    frequent = light and frequency_per_min >= FREQUENT_PER_MIN
    shared = lift.persons > 1
    reasons = {
        "one_hand": lift.hands == 1,
        "two_persons": shared,
        "seated": lift.seated,
        "light_and_frequent": frequent,
        "carried": lift.carry > CARRY_MAX[units],
        "pushed": forced,
        "reaching": lift.reach_s > 0,
    }
    found = {
        "lifting": lift.hands > 1 and not shared and not lift.seated,
        "factored": (lift.hands == 1 and not light or shared) and not lift.seated,
        "hand_work": lift.hands == 1 or lift.seated or frequent,
        "carrying": reasons["carried"] and lift.hands > 1,
        "pushing": forced,
        "reach": reasons["reaching"],
    }
    why = tuple(code for code, true in reasons.items() if true)
    return tuple(name for name, true in found.items() if true), why or ("two_handed",)


def fitting(case: Case, lift: Lift, screened: Screened) -> Fitting:
    """What fits one task, and the answers of the methods other than the lifting equation.

    Parameters
    ----------
    case : Case
        Place and unit set.
    lift : Lift
        The task.
    screened : Screened
        The same, screened at its pace.

    Returns
    -------
    Fitting
        Answers are None where the method does not fit or its data are missing.
    """
    per_min, mass = screened.frequency_per_min, screened.mass
    methods, why = methods_for(lift, mass=mass, frequency_per_min=per_min, units=case.units)
    paced = per_min == per_min and mass == mass
    strain, revised = None, None
    missing: tuple[str, ...] = ()
    if "hand_work" in methods and paced:
        strain, revised, missing = _hand_work(case, lift, per_min)
    rated = factored(case, lift, frequency_per_min=per_min) if "factored" in methods and paced else None
    missing += ("carry_one_hand",) if "carried" in why and lift.hands == 1 else ()
    return Fitting(
        pattern=lift.pattern,
        method=lift.method,
        task=lift.task,
        methods=methods,
        why=why,
        factored=rated if rated is not None and rated.rwl > 0 else None,
        strain=strain,
        revised=revised,
        carrying=screened.carrying,
        push=pushed(lift, units=case.units),
        reach_s=lift.reach_s,
        remaining=REMAINS_UNDER_HOIST if "remaining" in methods else (),
        missing=missing + (("pace",) if not paced else ()),
    )


def _hand_work(case: Case, lift: Lift, per_min: float) -> tuple[Strain | None, Strain | None, tuple[str, ...]]:
    if not lift.effort_borg or not lift.exertion_s:
        return None, None, ("effort",)
    if per_min * lift.exertion_s > MIN_PER_H:
        return None, None, ("exertion_longer_than_cycle",)
    hands = Hands(
        effort_borg=lift.effort_borg,
        efforts_per_min=per_min,
        exertion_s=lift.exertion_s,
        wrist_deg=lift.wrist_deg,
        hours=case.place.hours_per_shift,
    )
    return strain_index(hands), revised_strain_index(hands), ()


def fittings(case: Case, screened: tuple[Screened, ...]) -> tuple[Fitting, ...]:
    """What fits each task of a case, in the order of the screen, which is that of the lifts."""
    return tuple(fitting(case, lift, one) for lift, one in zip(case.lifts, screened, strict=True))
