"""One task as numbers that can be changed: its index at both ends for one or for many sets of values at once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coreset.case import Case, Lift
from coreset.lifting.constants import constants
from coreset.lifting.lift_end import Posture, name_of, rate
from coreset.lifting.screened_task import Screened

Floats = NDArray[np.float64]
SIZES_PER_LENGTH = {"metric": 10.0, "us": 1.0}
"""Sizes of cores are in mm or in, lengths in cm or in."""
NEAREST = {"metric": (20.0, 25.0, 25.0), "us": (8.0, 10.0, 10.0)}
"""H over half the core's depth with the hands from, and below, a height, and that height [waters1994] p. 8."""
MEASURED = (
    "horizontal_origin",
    "vertical_origin",
    "asymmetry_origin_deg",
    "horizontal_destination",
    "vertical_destination",
    "asymmetry_destination_deg",
)
LINKED = ("platform", "mask_tilt_deg")
"""Changes that move several measured values at once; both are 0 today."""
VARIABLES = (*MEASURED, *LINKED, "frequency_per_min", "mass")
"""What can be changed on a scale; lengths, mass in the case's units."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskAt:
    """A task with the values that decide its index. `travel` 0 takes the difference of the heights.

    `depth` is how far the place at the destination lies behind the edge that a mask or mold tilts about, `core_depth`
    W, the load front to back, 0 if not known. [length]
    """

    values: Mapping[str, float]
    depth: float
    travel: float
    duration: str
    coupling: str
    control_at_destination: bool
    units: str
    core_depth: float = 0.0


def task_at(case: Case, lift: Lift, screened: Screened) -> TaskAt:
    """The values of a lift of a case at its pace.

    Parameters
    ----------
    case : Case
        Cores and unit set.
    lift : Lift
        The task.
    screened : Screened
        The same, screened.
    """
    values = {name: float(getattr(lift, name)) for name in MEASURED} | dict.fromkeys(LINKED, 0.0)
    return TaskAt(
        values=values | {"frequency_per_min": screened.frequency_per_min, "mass": screened.mass},
        depth=max(0.0, lift.horizontal_destination - constants(case.units).horizontal_free),
        travel=lift.travel,
        duration=screened.duration,
        coupling=lift.coupling,
        control_at_destination=lift.control_at_destination,
        units=case.units,
        core_depth=core_depth(case, lift),
    )


def core_depth(case: Case, lift: Lift) -> float:
    """W of what a lift holds, front to back: as entered, else the core's second side or longest; 0 if not known.

    [length]
    """
    if lift.load_depth:
        return lift.load_depth
    found = [core for core in case.cores if (core.pattern, core.core) == (lift.pattern, lift.core)]
    return (found[0].width or found[0].length) / SIZES_PER_LENGTH[case.units] if found else 0.0


def nearest_reach(task: TaskAt, vertical: Any) -> Any:
    """The nearest that the hands can come with the core between them and the body, at hands' heights. [length]

    20 cm + W/2, or 25 cm + W/2 with the hands below 25 cm; in inches 8, 10 and 10; never below the nearest that counts.

    References
    ----------
    [waters1994] section 1.3.1.1, p. 8: the estimate of H, so no smaller H can be built.
    """
    high, low, border = NEAREST[task.units]
    from_body = np.where(np.asarray(vertical) >= border, high, low) + task.core_depth / 2
    return np.maximum(constants(task.units).horizontal_free, from_body)[()]


def deepest_core(task: TaskAt, after: Mapping[str, float]) -> float | None:
    """The deepest core for which the reaches of a change can be built; None where no reach is changed. [length]

    Negative or 0 where the hands are so low that no core fits: :func:`nearest_reach` the other way round.
    """
    v, (high, low, border) = linked(task, **after), NEAREST[task.units]
    ends = [end for end in ("origin", "destination") if f"horizontal_{end}" in after]
    room = [float(v[f"horizontal_{end}"]) - (high if v[f"vertical_{end}"] >= border else low) for end in ends]
    return 2 * min(room) if room else None


def linked(task: TaskAt, **changed: Any) -> dict[str, Any]:
    """Values with platform and tilt put in, and D as `travel`.

    The platform lowers both heights over the operator's own floor; heights below it are NaN, for nobody lifts there.
    The mask tilts by t about its edge towards the operator, the place r behind that edge: H falls by r (1 - cos t), but
    not below the closest that counts, V rises by r sin t. An entered D keeps what it has over the difference in height.
    """
    v: dict[str, Any] = {
        **task.values,
        **{name: np.asarray(value) for name, value in changed.items() if name in VARIABLES},
    }
    tilt = np.radians(v["mask_tilt_deg"])
    reach = v["horizontal_destination"]
    v["vertical_destination"] = v["vertical_destination"] + task.depth * np.sin(tilt)
    nearest = nearest_reach(task, v["vertical_destination"])
    v["horizontal_destination"] = np.maximum(reach - task.depth * (1 - np.cos(tilt)), np.minimum(reach, nearest))
    for end in ("origin", "destination"):
        height = v[f"vertical_{end}"] - v["platform"]
        v[f"vertical_{end}"] = np.where(height < 0, np.nan, height)[()]
    v["travel"] = np.abs(v["vertical_destination"] - v["vertical_origin"])
    if task.travel:
        today = abs(task.values["vertical_destination"] - task.values["vertical_origin"])
        v["travel"] = np.maximum(task.travel + v["travel"] - today, 0.0)
    return v


def can_be_held(task: TaskAt, **changed: Any) -> NDArray[np.bool_]:
    """Whether the core still fits between hands and body at the reaches and heights that the changes give."""
    v = linked(task, **changed)
    ends = ("origin", "destination")
    reach = [np.minimum(task.values[f"horizontal_{e}"], nearest_reach(task, v[f"vertical_{e}"])) for e in ends]
    return np.logical_and(*(v[f"horizontal_{e}"] >= low for e, low in zip(ends, reach, strict=True)))


def below_floor(task: TaskAt) -> bool:
    """Whether the platform is higher than one of the two places."""
    v = linked(task)
    return bool(np.isnan(v["vertical_origin"]) or np.isnan(v["vertical_destination"]))


def ends_of(task: TaskAt, **changed: Any) -> dict[str, Posture]:
    """Postures at the ends that count, with some values replaced by others, scalars or arrays."""
    v = linked(task, **changed)
    coupling = changed.get("coupling", task.coupling)
    ends = ("origin", "destination") if task.control_at_destination else ("origin",)
    return {
        end: Posture(
            horizontal=v[f"horizontal_{end}"],
            vertical=v[f"vertical_{end}"],
            travel=v["travel"],
            angle_deg=v[f"asymmetry_{end}_deg"],
            frequency_per_min=v["frequency_per_min"],
            duration=task.duration,
            coupling=coupling,
            units=task.units,
            vertical_at_origin=v["vertical_origin"],
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
