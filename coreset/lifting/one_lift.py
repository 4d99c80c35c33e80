"""One lift by itself: what was measured -> its row, its index at both ends, and what would improve it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from coreset.case import Case, Lift
from coreset.errors import OutOfRange
from coreset.lifting.buildable import CoreBox, Redesign, core_box, first_steps, redesign_of
from coreset.lifting.constants import constants
from coreset.lifting.duration import class_of
from coreset.lifting.lever_ranges import usual_ranges
from coreset.lifting.lift_table import Answer, has_destination, postures_of
from coreset.lifting.redesign import TARGET, Change
from coreset.lifting.task_values import LINKED, MEASURED, SIZES_PER_LENGTH, TaskAt
from coreset.lifting.uncertainty import with_errors
from coreset.rounding import half_up
from coreset.units import CM_PER_IN, KG_PER_LB, MIN_PER_H

CORE, DESTINATION = "core", "destination"

PLACES = {  # common practice, no source: for a first look, to be replaced by what is measured
    "floor": {"metric": (45.0, 20.0), "us": (18.0, 8.0)},
    "low_shelf": {"metric": (40.0, 50.0), "us": (16.0, 20.0)},
    "bench": {"metric": (35.0, 90.0), "us": (14.0, 36.0)},
    "high_shelf": {"metric": (40.0, 140.0), "us": (16.0, 55.0)},
    "mold_near": {"metric": (45.0, 75.0), "us": (18.0, 30.0)},
    "mold_far": {"metric": (60.0, 75.0), "us": (24.0, 30.0)},
}
"""H and V where hands usually are at a kind of place, by its code and the unit set. [cm, in]"""
HANDS = ("hands", "hands_destination")
"""What is asked of the hands at each end: a kind of place, or reach and height as two numbers."""
WRITTEN = re.compile(r"\s*(\d+(?:\.\d+)?)\s*[,;/ ]\s*(\d+(?:\.\d+)?)\s*")
LONGEST_SHIFT_H = 12.0
"""Hours taken for a shift above 8 hours where a measure depends on them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Advice:
    """What would improve a lift: what to change first, all changes in whole steps, what the core may be here.

    `task` are the values that they start from; its `core_depth` is 0 where no depth was given.
    """

    task: TaskAt
    first: Change
    redesign: Redesign
    core_box: CoreBox


def hands_of(said: str | None, units: str) -> tuple[float, float] | None:
    """H and V of a kind of place by its code, or as two written numbers, reach first; None where it is neither.

    Examples
    --------
    >>> hands_of("bench", "metric"), hands_of("60, 75.5", "us"), hands_of("60", "metric"), hands_of(None, "us")
    ((35.0, 90.0), (60.0, 75.5), None, None)
    """
    if said in PLACES:
        return PLACES[said][units]
    written = WRITTEN.fullmatch(said or "")
    return (float(written[1]), float(written[2])) if written else None


def converted(asked: Mapping[str, Any], units: str) -> dict[str, Any]:
    """Load and hands, entered in the other unit set, in this one to a decimal; kinds of place and gaps stay.

    Examples
    --------
    >>> converted({"mass": 24.0, "hands": "60, 75", "hands_destination": "bench", "angle": 30.0}, "us")
    {'mass': 52.9, 'hands': '23.6, 29.5', 'hands_destination': 'bench'}
    """
    mass, length = (1 / KG_PER_LB, 1 / CM_PER_IN) if units == "us" else (KG_PER_LB, CM_PER_IN)
    load, depth = asked.get("mass"), asked.get("core_depth")
    found: dict[str, Any] = {"mass": load and half_up(load * mass, 1)}
    if depth:
        found["core_depth"] = half_up(depth * length, 1)
    for name in HANDS:
        said = asked.get(name)
        written = None if said in PLACES else hands_of(said, units)
        found[name] = ", ".join(f"{half_up(x * length, 1):g}" for x in written) if written else said
    return found


def row_of(measured: Mapping[str, Any], *, hours: float, control: bool, units: str) -> dict[str, Any]:
    """Row of `lift_table.answers` for one lift from what was asked.

    Parameters
    ----------
    measured : mapping
        `mass`, `horizontal` and `vertical` at the origin, `horizontal_destination`, `vertical_destination`, `angle`
        (the larger twist, taken at both ends), `frequency`, `coupling`, `core_depth` if known; in the unit set.
    hours : float
        Hours of this work in a shift. [h] More than 8 makes the index a lower limit.
    control : bool
        Whether it is regrasped, held or guided where it is set down: only then is the destination rated.
    units : {"metric", "us"}
        Unit set.

    Raises
    ------
    OutOfRange
        If the hours are not above zero.

    References
    ----------
    [waters1994] section 1.3.
    """
    if not hours > 0:
        raise OutOfRange(f"hours must be above zero, got {hours:g}")
    row = {**measured, "units": units, "duration": class_of(hours * MIN_PER_H)}
    row["travel"] = abs(row["vertical_destination"] - row["vertical"])
    there = {"horizontal_destination": row["horizontal_destination"], "angle_destination": row["angle"]}
    row |= (
        there
        if control
        else dict.fromkeys((*there, "vertical_destination")) | {"set_down": measured["vertical_destination"]}
    )
    return row | {"over_8_h": hours > constants(units).shift_limit}


def task_of(row: Mapping[str, Any]) -> TaskAt:
    """The values of a row that decide its index.

    A destination that is not rated is as the origin, but for its height where the row has it as `set_down`; else D
    moves with every change of the height at the origin, which is cautious.
    """
    ends = postures_of(row, row["units"])
    there = ends.get("destination", ends["origin"])
    values = dict.fromkeys(LINKED, 0.0) | {"frequency_per_min": row["frequency"], "mass": row["mass"]}
    for name, end in (("origin", ends["origin"]), ("destination", there)):
        values |= {f"horizontal_{name}": end.horizontal, f"vertical_{name}": end.vertical}
        values[f"asymmetry_{name}_deg"] = end.angle_deg
    values["vertical_destination"] = row.get("set_down", values["vertical_destination"])
    return TaskAt(
        values={name: float(value) for name, value in values.items()},
        depth=0.0,
        travel=float(row["travel"]),
        duration=row["duration"],
        coupling=row["coupling"],
        control_at_destination=has_destination(row),
        units=row["units"],
        core_depth=row.get("core_depth") or 0.0,
    )


def cores_of(case: Case, units: str) -> dict[str, dict[str, float | None]]:
    """Load and depth of each core of a case, as what is asked here; none where the case has the other unit set."""
    if units != case.units:
        return {}
    per_length = SIZES_PER_LENGTH[units]
    return {
        f"{core.pattern} · {core.core}": {
            "mass": core.mass,
            "core_depth": (core.width or core.length) / per_length or None,
        }
        for core in case.cores
    }


def per_min(lifts_per_mold: float, molds_per_h: float) -> float:
    """Lifts a minute from lifts for one mold and the pace of the line. [1/min]

    Examples
    --------
    >>> per_min(3, 60)
    3.0
    """
    return lifts_per_mold * molds_per_h / MIN_PER_H


def task_fields(measured: Mapping[str, Any], *, hours: float, control: bool) -> dict[str, Any]:
    """Fields of a `Lift` of a case that holds what was asked; parameters as for `row_of`.

    Parameters
    ----------
    measured : mapping of str to float or str
        What was measured, as for :func:`row_of`.
    hours : float
        Hours of this work in a shift. [h]
    control : bool
        Whether the load is controlled where it is set down.
    """
    return {
        "mass": measured["mass"],
        "frequency_per_min": measured["frequency"],
        "horizontal_origin": measured["horizontal"],
        "vertical_origin": measured["vertical"],
        "asymmetry_origin_deg": measured["angle"],
        "horizontal_destination": measured["horizontal_destination"],
        "vertical_destination": measured["vertical_destination"],
        "asymmetry_destination_deg": measured["angle"],
        "coupling": measured["coupling"],
        "control_at_destination": control,
        "duration": class_of(hours * MIN_PER_H),
        "load_depth": measured.get("core_depth") or 0.0,
    }


def advised(row: Mapping[str, Any], answer: Answer, *, target: float = TARGET) -> Advice | None:
    """What would improve a lift, by the search of `buildable`; None where the equation does not cover it.

    Parameters
    ----------
    row, answer
        A row of `lift_table.answers`, with `core_depth` where the core's depth is known, and its answer.
    target : float
        Index that is to be exceeded in at most 10 % of cycles, with assumed errors of measurement. [-]

    Returns
    -------
    Advice or None
        Within the usual ranges, no reach nearer than a core of known depth allows; a destination that is not rated
        stays as it is. The load is taken as a core, which can be made in two parts.
    """
    if not answer.applies:
        return None
    task = task_of(row)
    rated = {name: span for name, span in usual_ranges(task).items() if has_destination(row) or DESTINATION not in name}
    ends: dict[str, Any] = {name: task.values[name] for name in MEASURED}
    lift, assumed = with_errors(Lift(task=CORE, method=CORE, pattern=CORE, core=CORE, **ends), units=task.units)
    hours = LONGEST_SHIFT_H if row.get("over_8_h") else constants(task.units).shift_limit
    redesign = redesign_of(task, lift, rated, target=target, hours=hours, assumed=assumed)
    return Advice(
        task=task,
        first=first_steps(task, lift, redesign, rated),
        redesign=redesign,
        core_box=core_box(task, lift, target=target),
    )
