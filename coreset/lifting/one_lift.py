"""One lift by itself: what was measured -> its row, its index at both ends, and what would improve it."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from coreset.errors import OutOfRange
from coreset.lifting.constants import constants
from coreset.lifting.duration import class_of
from coreset.lifting.lever_ranges import usual_ranges
from coreset.lifting.lift_table import Answer, has_destination, postures_of
from coreset.lifting.task_values import LINKED, TaskAt, index_of
from coreset.units import MIN_PER_H

PLACES = {  # common practice, no source: for a first look, to be replaced by what is measured
    "floor": {"metric": (45.0, 20.0), "us": (18.0, 8.0)},
    "low_shelf": {"metric": (40.0, 50.0), "us": (16.0, 20.0)},
    "bench": {"metric": (35.0, 90.0), "us": (14.0, 36.0)},
    "high_shelf": {"metric": (40.0, 140.0), "us": (16.0, 55.0)},
    "mold_near": {"metric": (45.0, 75.0), "us": (18.0, 30.0)},
    "mold_far": {"metric": (60.0, 75.0), "us": (24.0, 30.0)},
}
"""H and V where hands usually are at a kind of place, by its code and the unit set. [cm, in]"""
LEVERS: dict[str, tuple[str, ...]] = {
    "reach": ("horizontal_origin", "horizontal_destination"),
    "twist": ("asymmetry_origin_deg", "asymmetry_destination_deg"),
    "height": ("vertical_origin", "vertical_destination"),
    "pace": ("frequency_per_min",),
}
"""What a plant changes at both ends at once, the one that is sought first at the top."""
STEPS = {"metric": {"reach": 1.0, "height": 5.0}, "us": {"reach": 0.5, "height": 2.0}}
OTHER_STEPS = {"twist": 5.0, "pace": 0.1}
"""Steps in which a change is sought: what can be set out on the floor."""
MOST_CHANGES = 2
TARGET = 1.0
SMALL = 1e-9
Steps = list[dict[str, float]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """Values that change, before and after, and the index then; infinite where nothing may be lifted even so.

    `high`, the index that 90 % of cycles stay at or below, is not known: one lift is checked as it was measured.
    """

    before: dict[str, float]
    after: dict[str, float]
    li: float
    high: float = math.nan


@dataclass(frozen=True, slots=True, kw_only=True)
class Advice:
    """What would improve a lift: the best index within the usual ranges, one or two changes, the core in two parts.

    `best` leaves load and pace as they are. `changes` reach the target within the usual ranges. `halves` is the index
    of half the load twice as often; infinite where nothing may be lifted even so.
    """

    best: Move
    changes: tuple[Move, ...]
    halves: float


def row_of(measured: Mapping[str, Any], *, hours: float, control: bool, units: str) -> dict[str, Any]:
    """Row of `lift_table.answers` for one lift from what was asked.

    Parameters
    ----------
    measured : mapping
        `mass`, `horizontal` and `vertical` at the origin, `horizontal_destination`, `vertical_destination`, `angle`
        (the larger twist, taken at both ends), `frequency`, `coupling`; lengths, mass in the unit set.
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
    )


def per_min(lifts_per_mold: float, molds_per_h: float) -> float:
    """Lifts a minute from lifts for one mold and the pace of the line. [1/min]

    Examples
    --------
    >>> per_min(3, 60)
    3.0
    """
    return lifts_per_mold * molds_per_h / MIN_PER_H


def task_fields(measured: Mapping[str, Any], *, hours: float, control: bool) -> dict[str, Any]:
    """Fields of a `Lift` of a case that holds what was asked; parameters as for `row_of`."""
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
    }


def advised(row: Mapping[str, Any], answer: Answer, *, target: float = TARGET) -> Advice | None:
    """What would improve a lift; None where the equation does not cover it.

    Parameters
    ----------
    row, answer
        A row of `lift_table.answers`, and its answer.
    target : float
        Index to reach. [-]

    Returns
    -------
    Advice or None
        A change that reaches the target takes reach, twist, height or pace at both ends at once, alone if one is
        enough, else the first as far as it goes and a second.
    """
    if not answer.applies:
        return None
    task = task_of(row)
    grids = _grids(task)
    return Advice(
        best=_best(task, grids),
        changes=() if index_of(task) <= target else _changes(task, list(grids.values()), target)[:MOST_CHANGES],
        halves=float(index_of(task, mass=row["mass"] / 2, frequency_per_min=2 * row["frequency"])),
    )


def _best(task: TaskAt, grids: Mapping[str, Steps]) -> Move:
    """The lowest index within the usual ranges: reach and twist as far as they go, height where it helps most.

    A shorter reach or a smaller twist never raises the index; a height nearer to the knuckles may, since the core then
    travels farther to a place that stays where it is.
    """
    sure = [grids[lever][-1] for lever in ("reach", "twist") if lever in grids]
    heights: Steps = [{}, *grids.get("height", [])]
    return min((_moved(task, (*sure, step)) for step in heights), key=lambda move: move.li)


def _grids(task: TaskAt) -> dict[str, Steps]:
    """Each lever's steps from today to the end of the usual ranges; levers that have no room are left out."""
    ranges, found = usual_ranges(task), {}
    reference = constants(task.units).vertical_reference
    for lever, names in LEVERS.items():
        rated = [
            name for name in names if name in ranges and (task.control_at_destination or "destination" not in name)
        ]
        goals = {name: reference if lever == "height" else ranges[name][0] for name in rated}
        far = max((abs(task.values[name] - goals[name]) for name in rated), default=0.0)
        step = STEPS[task.units].get(lever) or OTHER_STEPS[lever]
        count = math.ceil(far / step - SMALL)
        if count > 0:
            found[lever] = [
                {name: _toward(task.values[name], goals[name], far - step * n) for name in rated}
                for n in range(1, count + 1)
            ]
    return found


def _toward(now: float, goal: float, most: float) -> float:
    """The value brought so near to its goal that it is at most so far from it."""
    away = max(0.0, most)
    return min(max(now, goal - away), goal + away)


def _moved(task: TaskAt, steps: Iterable[Mapping[str, float]]) -> Move:
    """The task with steps of several levers."""
    after = {name: value for step in steps for name, value in step.items() if value != task.values[name]}
    return Move(before={name: task.values[name] for name in after}, after=after, li=float(index_of(task, **after)))


def _changes(task: TaskAt, grids: Sequence[Steps], target: float) -> tuple[Move, ...]:
    """Levers that are enough alone; if none is, pairs: the first lever as far as it goes, the second to the target."""
    alone = [_first(task, {}, grid, target) for grid in grids]
    if not any(alone):
        alone = [_first(task, one[-1], other, target) for one, other in itertools.combinations(grids, 2)]
    return tuple(move for move in alone if move is not None)


def _first(task: TaskAt, fixed: Mapping[str, float], grid: Steps, target: float) -> Move | None:
    """The first step of a lever that reaches the target with what is fixed; None where none does."""
    moves = (_moved(task, (fixed, step)) for step in grid)
    return next((move for move in moves if move.li <= target), None)
