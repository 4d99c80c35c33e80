"""A task as it was changed by hand -> the case that holds the change: the lift, its pace as an override, its load."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from coreset.case import Case, Lift
from coreset.lifting.task_values import MEASURED, TaskAt, linked

DIGITS = 3
"""Decimals of what is entered by geometry: far below any measuring error, short in a file."""


def kept(case: Case, lift: Lift, before: TaskAt, now: TaskAt, *, reason: str) -> Case:
    """The case with one of its tasks changed.

    Parameters
    ----------
    case : Case
    lift : Lift
        The task, one of the case's own.
    before, now : TaskAt
        The task as the case has it, and as it shall be.
    reason : str
        Why the pace is no longer that of the standard.

    Returns
    -------
    Case
        Platform and tilt are kept as the heights and reaches that they give. A pace that was changed overrides what the
        standard implies. A load that was changed is that of the core, in every task that takes it from there; else the
        task's own.
    """
    values = linked(now)
    what: dict[str, Any] = {name: round(float(values[name]), DIGITS) for name in MEASURED}
    what |= {"coupling": now.coupling, "travel": round(float(values["travel"]), DIGITS) if lift.travel else 0.0}
    pace, mass = now.values["frequency_per_min"], now.values["mass"]
    if pace != before.values["frequency_per_min"]:
        what |= {"frequency_per_min": pace, "frequency_reason": reason}
    lifts = [replace(one, **what) if one is lift else one for one in case.lifts]
    cores = case.cores
    if mass != before.values["mass"]:
        shared = not lift.mass
        own: dict[str, Any] = {} if shared else {"mass": mass}
        lifts = [
            replace(one, **own, mass_max=max(one.mass_max, mass) if one.mass_max else 0.0)
            if old is lift or (shared and _same_core(old, lift))
            else one
            for old, one in zip(case.lifts, lifts, strict=True)
        ]
        if shared:
            cores = tuple(
                replace(core, mass=mass) if (core.pattern, core.core) == (lift.pattern, lift.core) else core
                for core in cores
            )
    return replace(case, lifts=tuple(lifts), cores=cores)


def _same_core(one: Lift, other: Lift) -> bool:
    """Whether two tasks take their load from one core."""
    return not one.mass and (one.pattern, one.core) == (other.pattern, other.core)
