"""The options of `coreset lift`: which go together, what one lift must say, and what is assumed where it does not."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from coreset.case import UNIT_SETS
from coreset.cli.lift_file import CHOICES, NOTHING, faults_of
from coreset.errors import Fault, StudyError
from coreset.lifting.columns import DESTINATION, SITUATIONS
from coreset.lifting.constants import constants
from coreset.lifting.duration import class_of
from coreset.lifting.one_lift import per_min
from coreset.lifting.report.working import plain_number
from coreset.text import say
from coreset.units import MIN_PER_H

OPTIONS = "options of coreset lift"
SAFE = {"units": "metric", "duration": "long", "coupling": "poor"}
"""What is taken where nothing is said: the class with the lowest limit; the unit set is named in the answer."""
DEMANDED = ("mass", "horizontal", "vertical", "angle", "frequency")
"""What no answer can do without: any value taken for it might be on the wrong side."""


def _refuse(faults: Sequence[Mapping[str, str]]) -> None:
    if faults:
        named = [dict(fault) | {"column": f"--{fault['column'].replace('_', '-')}"} for fault in faults]
        raise StudyError(
            Fault(file=OPTIONS, column=fault["column"], found=fault["found"], expected=fault["expected"])
            for fault in named
        )


def fitting(
    given: Mapping[str, Any],
    situations: Sequence[str],
    file: Path | None,
    result: Path | None,
    together: float | None,
    *,
    by_hand: bool,
) -> None:
    """Refuse options that would have no effect beside others, and situations that have no name here.

    Parameters
    ----------
    given : mapping
        Options that say something of a lift, None where not given.
    situations : sequence of str
        Situations outside the method, by code.
    file, result : Path or None
        Table of lifts, and where its answers go.
    together : float or None
        Lifts of all rows together. [1/min]
    by_hand : bool
        Whether multipliers have two digits.

    Raises
    ------
    StudyError
        With every such option.
    """
    faults = []
    for name in [name for name, value in given.items() if value is not None and file is not None]:
        faults.append({"column": name, "found": "given", "expected": "no such option with --file: its rows say it"})
    if together is not None:
        if file is None:
            faults.append({"column": "together", "found": "no --file", "expected": "a table of the lifts of the job"})
        if result is not None:
            expected = "no such option with --together, which gives one index and no rows; take --json"
            faults.append({"column": "result", "found": "given", "expected": expected})
        if by_hand:
            faults.append({"column": "by_hand", "found": "given", "expected": "no such option with --together"})
    for code in situations:
        if code not in SITUATIONS:
            expected = f"one of {', '.join(SITUATIONS)}"
            faults.append({"column": "situation", "found": repr(code), "expected": expected})
    _refuse(faults)


def derived(
    given: Mapping[str, Any], *, hours: float | None, lifts_per_mold: float | None, molds_per_h: float | None
) -> tuple[dict[str, Any], list[str]]:
    """Options with the duration that hours give and the frequency that the mold pace gives; situations that follow.

    Parameters
    ----------
    given : mapping
        Options by column, None where not given.
    hours : float or None
        Hours of the work per shift. [h]
    lifts_per_mold, molds_per_h : float or None
        Lifts for one mold, and the pace of the line. [1/h]

    Raises
    ------
    StudyError
        If one of a pair is missing, or the same is said twice.
    """
    row, faults = dict(given), []
    pace = {"lifts_per_mold": lifts_per_mold, "molds_per_h": molds_per_h}
    if hours is not None and row["duration"] is not None:
        faults.append({"column": "hours", "found": "given", "expected": "--hours or --duration, not both"})
    elif hours is not None and not hours > 0:
        faults.append({"column": "hours", "found": f"{hours:g}", "expected": "hours above zero"})
    if any(value is not None for value in pace.values()):
        if row["frequency"] is not None:
            faults.append({"column": "frequency", "found": "given", "expected": "no such option with the mold pace"})
        missing = [name for name, value in pace.items() if value is None]
        faults += [{"column": name, "found": NOTHING, "expected": "a number"} for name in missing]
    _refuse(faults)
    if lifts_per_mold is not None and molds_per_h is not None:
        row["frequency"] = per_min(lifts_per_mold, molds_per_h)
    if hours is None:
        return row, []
    row["duration"] = class_of(hours * MIN_PER_H)
    return row, ["over_8_h"] if hours > constants("metric").shift_limit else []


def completed(given: Mapping[str, Any], control: bool | None) -> tuple[dict[str, Any], list[str]]:
    """One lift from its options: a row as for `flat.answers`, and what was assumed, in sentences.

    Only what is on the safe side is assumed: control at the destination, long duration, poor coupling. D is worked out
    from the heights.

    Raises
    ------
    StudyError
        With every option that is missing, cannot be, or has no effect.
    """
    row, placed = dict(given), control is not False
    faults = [{"column": name, "found": NOTHING, "expected": "a number"} for name in DEMANDED if row[name] is None]
    if placed:
        expected = "a number; or --no-control, where nothing is regrasped, held or guided as it is set down"
        faults += [{"column": n, "found": NOTHING, "expected": expected} for n in DESTINATION if row[n] is None]
    else:
        expected = "no such option with --no-control: the destination is not rated"
        unused = [name for name in DESTINATION if row[name] is not None and name != "vertical_destination"]
        faults += [{"column": name, "found": "given", "expected": expected} for name in unused]
        if row["vertical_destination"] is None and row["travel"] is None:
            expected = "the height where it is set down, or --travel"
            faults.append({"column": "vertical_destination", "found": NOTHING, "expected": expected})
    for name, choices in CHOICES.items():
        if row[name] is not None and row[name] not in choices:
            expected = f"one of {', '.join(choices)}"
            faults.append({"column": name, "found": repr(row[name]), "expected": expected})
    _refuse(faults)
    assumed = _assume(row, control)
    checked = row if placed or row["vertical_destination"] is None else _both_heights(row)
    _refuse(faults_of(checked))
    return row | ({} if placed else dict.fromkeys(DESTINATION)), assumed


def _both_heights(row: Mapping[str, Any]) -> dict[str, Any]:
    """The row with the destination's height, its reach and twist as at the origin, to be checked only."""
    return {**row, "horizontal_destination": row["horizontal"], "angle_destination": row["angle"]}


def _assume(row: dict[str, Any], control: bool | None) -> list[str]:
    """Fill what was left out of a row, each with its sentence."""
    left_out = [name for name in SAFE if row[name] is None]
    row |= {name: SAFE[name] for name in left_out}
    units = UNIT_SETS[row["units"]]
    assumed = [say(f"handling.lift.assumed.{name}", mass=units["mass"], length=units["length"]) for name in left_out]
    if control is None:
        assumed.append(say("handling.lift.assumed.control"))
    there = row["vertical_destination"]
    if row["travel"] is None:
        travel = abs(there - row["vertical"])
        row["travel"] = travel
        words = {"travel": plain_number(travel), "length": units["length"]}
        assumed.append(say("handling.lift.assumed.travel", **words))
    elif there is not None and abs(row["travel"] - abs(there - row["vertical"])) > 1e-9 * row["travel"]:
        words = {"travel": plain_number(row["travel"]), "length": units["length"]}
        words["heights"] = plain_number(abs(there - row["vertical"]))
        assumed.append(say("handling.lift.assumed.farther", **words))
    return assumed
