"""One lift by itself in words: what is still to be measured, its status, what costs most, what would improve it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from coreset.case import UNIT_SETS, Case
from coreset.lifting.constants import constants
from coreset.lifting.job_status import status_of
from coreset.lifting.lift_table import Answer, governing, has_destination
from coreset.lifting.one_lift import PLACES, Advice
from coreset.lifting.redesign import TARGET
from coreset.lifting.report.measures import reached_by
from coreset.lifting.report.redesign import change_text, core_box_sentence, redesign_sentence, room_sentence
from coreset.lifting.report.sentences import binding, index_sentence
from coreset.lifting.report.status import MASS_DIGITS, why_not
from coreset.lifting.report.working import plain_number
from coreset.lifting.scope import slips
from coreset.lifting.task_values import nearest_reach
from coreset.rounding import fixed
from coreset.text import say

LACKING = ("mass", "horizontal", "horizontal_destination", "angle", "frequency")


def lacking_sentence(measured: Mapping[str, Any], hours: float | None) -> str:
    """What must still be entered before the lift can be rated; empty where nothing is."""
    names = [name for name in LACKING if measured.get(name) is None] + ["hours"] * (not hours)
    return say("handling.one.lacking", names=", ".join(say(f"handling.one.name.{name}") for name in names)) * bool(
        names
    )


def slip_sentence(row: Mapping[str, Any]) -> str:
    """Which entries cannot be, and the likely slip; empty where all can."""
    codes: list[str] = []
    for end in ("origin", "destination") if has_destination(row) else ("origin",):
        at = governing(row, end)
        codes += slips(
            units=row["units"],
            mass=row["mass"],
            horizontal=at["horizontal"],
            vertical=at["vertical"],
            frequency_per_min=row["frequency"],
            angle_deg=at["angle"],
            core_depth=row.get("core_depth"),
        )
    return say("handling.one.slip", why=why_not(dict.fromkeys(codes))) if codes else ""


def status_sentence(answer: Answer) -> str:
    """Status of a lift with its sign, and what a status at or below 1 means."""
    if not answer.applies:
        return ""
    status = status_of(math.inf if answer.li is None else answer.li, answer.at_least)
    return say(f"handling.one.status.{status}", sign=say(f"handling.sign.{status}"))


def answer_sentence(row: Mapping[str, Any], answer: Answer, *, digits: int = 2) -> str:
    """The index of a lift in so many decimals, what may be lifted and the main driver, in a sentence.

    Parameters
    ----------
    row : mapping
        A row of `one_lift.row_of`.
    answer : Answer
        Its answer.
    digits : int
        Decimals of the index.
    """
    return index_sentence(
        digits=digits,
        mass=row["mass"],
        units=row["units"],
        rwl=answer.rwl,
        li=answer.li,
        bound=answer.binding or "",
        codes=answer.why_not,
        at_least=answer.at_least,
    )


def cost_sentence(row: Mapping[str, Any], answer: Answer) -> str:
    """The multiplier that costs most, at which end, and what could be lifted without it; empty where none does."""
    if not answer.applies or not answer.binding:
        return ""
    value, end = getattr(answer, answer.binding), say(f"handling.end.{answer.end}")
    words = {"what": binding(answer.binding), "end": end, "value": fixed(value, 2)}
    if not value or not answer.rwl:
        return say("handling.one.cost_all", **words)
    without = fixed(answer.rwl / value, MASS_DIGITS)
    unit = UNIT_SETS[row["units"]]["mass"]
    return say("handling.one.cost", rwl=fixed(answer.rwl, MASS_DIGITS), without=without, unit=unit, **words)


def first_sentence(row: Mapping[str, Any], advice: Advice | None) -> str:
    """One or two values to change first, with the index then; the measures that reach the goal where they do not."""
    if advice is None:
        return ""
    found, first, units = advice.redesign, advice.first, row["units"]
    if not first.after:
        key = "first_none" if first.high <= TARGET else "first_nowhere"
        said = say(f"handling.one.{key}")
    else:
        key = "first" if first.high <= TARGET else "first_more"
        said = say(f"handling.one.{key}", change=change_text(first, units))
    return " ".join(filter(None, [said, room_sentence(advice.task, [first]), *reached_by(found)]))


def near_sentence(row: Mapping[str, Any], advice: Advice | None) -> str:
    """Which measured reach is nearer than the core's own depth allows; empty where none is."""
    if advice is None or not advice.task.core_depth:
        return ""
    task, said = advice.task, []
    for end in ("origin", "destination") if has_destination(row) else ("origin",):
        reach = task.values[f"horizontal_{end}"]
        nearest = float(nearest_reach(task, task.values[f"vertical_{end}"]))
        if reach < nearest:
            words = {"depth": task.core_depth, "nearest": nearest, "reach": reach}
            texts = {name: plain_number(value) for name, value in words.items()}
            unit, where = UNIT_SETS[task.units]["length"], say(f"handling.end.{end}")
            said.append(say("handling.one.near", end=where, unit=unit, **texts))
    return " ".join(said)


def advice_sentences(row: Mapping[str, Any], answer: Answer, advice: Advice | None) -> list[str]:
    """What stands behind the first change: the best index, the changes that reach the goal with a margin, the core.

    Parameters
    ----------
    row : mapping
        A row of `one_lift.row_of`.
    answer : Answer
        Its answer.
    advice : Advice or None
        From `one_lift.advised`.
    """
    if advice is None:
        return []
    found, units = advice.redesign, row["units"]
    unmet = say("handling.part.at_least", why=why_not(answer.at_least)) if answer.at_least else ""
    best = say("handling.one.best", change=change_text(found.best, units))
    said = [best] if found.total and found.total.after else []
    said.append(redesign_sentence(found, units, target=TARGET, at_least=answer.at_least, part=unmet))
    room = room_sentence(advice.task, [*found.singles, *filter(None, [found.total]), found.best])
    return [*said, *filter(None, [room]), core_box_sentence(advice.core_box, units, row["mass"])]


def example_of(units: str) -> dict[str, str]:
    """Reach and height at a mold's far side, as what may be typed for the hands."""
    return dict(zip(("reach", "height"), (fixed(x) for x in PLACES["mold_far"][units]), strict=True))


def place_name(code: str) -> str:
    """A kind of place in words; what was written instead of one as it stands."""
    return say(f"handling.one.place.{code}") if code in PLACES else code


def not_savable(case: Case, *, hours: float, units: str) -> str:
    """Why a lift cannot be saved as a task of the case; empty where it can.

    A task has no hours of its own: beyond 8 hours its index is a lower limit because the shift of the case is longer.

    Parameters
    ----------
    case : Case
        Where it would be saved.
    hours : float
        Hours of this work in a shift. [h]
    units : {"metric", "us"}
        Unit set of what was asked.
    """
    if units != case.units:
        return say("handling.one.save_units")
    if not case.patterns or not case.methods:
        return say("handling.one.save_no_pattern")
    limit = constants(units).shift_limit
    if hours > limit and case.place.hours_per_shift <= limit:
        return say("handling.one.save_hours", hours=fixed(hours, 1))
    return ""
