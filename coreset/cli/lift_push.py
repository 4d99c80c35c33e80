"""The push or pull that `coreset lift` may be given, with a lift or alone. In: its options. Out: lines, document."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from typing import Any

from coreset.case import UNIT_SETS, Lift
from coreset.cli.lift_options import OPTIONS, SAFE
from coreset.errors import Fault, StudyError
from coreset.lifting.pushing import Pushed, pushed
from coreset.lifting.report.pushing import push_text
from coreset.text import say

FORCES = ("push_start", "push_keep")
PUSH = (*FORCES, "push_height", "push_distance")
PUSHED = "pushing"
"""Situation of a lift that is also pushed: its index is a lower limit."""
PLACES = ("restricted", "unstable", "slippery")
"""Situations of a place for which the guideline figures are not made."""


def push_of(given: Mapping[str, float | None], situations: Sequence[str], units: str | None) -> Pushed | None:
    """The push of the options beside the guideline figures; None where none of them is given.

    Parameters
    ----------
    given : mapping
        Values of `PUSH`: forces [N, lbf], height of the hands [cm, in], distance [m, ft]; None where not measured.
    situations : sequence of str
        Situations of the task.
    units : {"metric", "us"}, optional
        Unit set, metric where it is not said.

    Raises
    ------
    StudyError
        If a height or distance has no force, or a value cannot be.
    """
    named = {name: value for name, value in given.items() if value is not None}
    if not named:
        return None
    units = units or SAFE["units"]
    faults = [
        _fault(name, f"{value:g}", "a number of 0 or more") for name, value in named.items() if not 0 <= value < 1e6
    ]
    if not any(named.get(name) for name in FORCES):
        faults.append(_fault(FORCES[0], "nothing", "the force that starts it, or --push-keep"))
    if units not in UNIT_SETS:
        faults.append(_fault("units", repr(units), f"one of {', '.join(UNIT_SETS)}"))
    if faults:
        raise StudyError(faults)
    held: dict[str, Any] = {name: True for name in PLACES if name in situations}
    at: dict[str, Any] = dict.fromkeys(
        ("horizontal_origin", "vertical_origin", "horizontal_destination", "vertical_destination"), 1.0
    )
    return pushed(Lift(task="push", method="push", pattern="push", **(at | named | held)), units=units)


def _fault(name: str, found: str, expected: str) -> Fault:
    return Fault(file=OPTIONS, column=f"--{name.replace('_', '-')}", found=found, expected=expected)


def alone(given: Mapping[str, object]) -> bool:
    """Whether nothing but the unit set is said of a lift."""
    return all(value is None for name, value in given.items() if name != "units")


def answer(push: Pushed, units: str | None, *, as_json: bool) -> str:
    """A push by itself, as text or as JSON.

    Parameters
    ----------
    push : Pushed
        The push, rated.
    units : str or None
        "us" or "metric"; the cautious default if not given.
    as_json : bool
        One document instead of text.
    """
    caution = say("handling.lift.caution")
    if as_json:
        return json.dumps(document(push) | {"notes": [caution]}, indent=2, ensure_ascii=False)
    return "\n".join([*lines(push, units or SAFE["units"]), caution])


def lines(push: Pushed | None, units: str) -> list[str]:
    """The push in a line; none where there is none."""
    return [] if push is None else [say("handling.lift.push", push=push_text(push, units))]


def document(push: Pushed | None) -> dict[str, Any]:
    """The push as a part of a document: forces and figures in newtons, in words why a specialist is needed, or null."""
    if push is None:
        return {"push": None}
    return {"push": asdict(push) | {"why": [say(f"handling.push.{code}") for code in push.why]}}
