"""One task as numbers that can be changed: its index at both ends for one or for many sets of values at once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coreset.case import Case, Lift
from coreset.handling.rating import Posture, name_of, rate
from coreset.handling.screen import Screened

Floats = NDArray[np.float64]
VARIABLES = (
    "horizontal_origin",
    "vertical_origin",
    "asymmetry_origin_deg",
    "horizontal_destination",
    "vertical_destination",
    "asymmetry_destination_deg",
    "frequency_per_min",
    "mass",
)
"""What can be changed on a scale; lengths, mass in the case's units."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskAt:
    """A task with the values that decide its index. `travel` 0 takes the difference of the heights."""

    values: Mapping[str, float]
    travel: float
    duration: str
    coupling: str
    control_at_destination: bool
    units: str


def task_at(case: Case, lift: Lift, screened: Screened) -> TaskAt:
    """The values of a lift of a case at its pace."""
    values = {name: float(getattr(lift, name)) for name in VARIABLES[:6]}
    return TaskAt(
        values=values | {"frequency_per_min": screened.frequency_per_min, "mass": screened.mass},
        travel=lift.travel,
        duration=screened.duration,
        coupling=lift.coupling,
        control_at_destination=lift.control_at_destination,
        units=case.units,
    )


def ends_of(task: TaskAt, **changed: Any) -> dict[str, Posture]:
    """Postures at the ends that count, with some values replaced by others, scalars or arrays."""
    v = {**task.values, **{name: value for name, value in changed.items() if name in VARIABLES}}
    travel = task.travel
    if not travel:
        travel = np.abs(np.asarray(v["vertical_destination"]) - np.asarray(v["vertical_origin"]))
    coupling = changed.get("coupling", task.coupling)
    ends = ("origin", "destination") if task.control_at_destination else ("origin",)
    return {
        end: Posture(
            horizontal=v[f"horizontal_{end}"],
            vertical=v[f"vertical_{end}"],
            travel=travel,
            angle_deg=v[f"asymmetry_{end}_deg"],
            frequency_per_min=v["frequency_per_min"],
            duration=task.duration,
            coupling=coupling,
            units=task.units,
        )
        for end in ends
    }


def limit_at(task: TaskAt, **changed: Any) -> Floats:
    """RWL of the governing end for one or many sets of values. [mass]"""
    found = [rate(posture).rwl for posture in ends_of(task, **changed).values()]
    return found[0] if len(found) == 1 else np.minimum(*found)


def index_of(task: TaskAt, **changed: Any) -> Floats:
    """LI of the governing end; infinite where nothing may be lifted, so that it compares as worst."""
    rwl = np.asarray(limit_at(task, **changed), dtype=float)
    mass = np.asarray(changed.get("mass", task.values["mass"]), dtype=float)
    shape = np.broadcast_shapes(rwl.shape, mass.shape)
    return np.divide(mass, rwl, out=np.full(shape, np.inf), where=rwl > 0)[()]


def binding_of(task: TaskAt, **changed: Any) -> str:
    """Name of the multiplier that binds at the governing end, for one set of values; empty where nothing does."""
    ends = [rate(posture) for posture in ends_of(task, **changed).values()]
    return name_of(int(min(ends, key=lambda end: float(end.rwl)).binding))


def with_values(lift: Lift, values: Mapping[str, float], coupling: str) -> Lift:
    """A lift of the case with other reaches, heights, twists and hold; pace and mass follow from elsewhere."""
    return replace(lift, coupling=coupling, **{name: values[name] for name in VARIABLES[:6] if name in values})


def replaced(case: Case, lift: Lift, changed: Lift) -> Case:
    """The case with one of its lifts changed."""
    return replace(case, lifts=tuple(changed if one is lift else one for one in case.lifts))
