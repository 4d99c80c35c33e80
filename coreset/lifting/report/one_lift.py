"""One lift by itself in words: what is still to be measured, its status, what costs most, what would improve it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from coreset.case import UNIT_SETS, Case
from coreset.lifting.constants import constants
from coreset.lifting.job_status import status_of
from coreset.lifting.lift_table import Answer, governing, has_destination
from coreset.lifting.one_lift import Advice, Move
from coreset.lifting.report.redesign import change_text
from coreset.lifting.report.sentences import binding, index_sentence
from coreset.lifting.report.status import MASS_DIGITS, index_text, why_not
from coreset.lifting.scope import slips
from coreset.rounding import fixed
from coreset.text import say

LACKING = ("mass", "horizontal", "vertical", "horizontal_destination", "vertical_destination", "angle", "frequency")


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
        )
    return say("handling.one.slip", why=why_not(dict.fromkeys(codes))) if codes else ""


def status_sentence(answer: Answer) -> str:
    """Status of a lift with its sign, and what a status at or below 1 means."""
    if not answer.applies:
        return ""
    status = status_of(math.inf if answer.li is None else answer.li, answer.at_least)
    return say(f"handling.one.status.{status}", sign=say(f"handling.sign.{status}"))


def answer_sentence(row: Mapping[str, Any], answer: Answer, *, digits: int = 2) -> str:
    """The index of a lift in so many decimals, what may be lifted and the main driver, in a sentence."""
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


def advice_sentences(row: Mapping[str, Any], answer: Answer, advice: Advice | None) -> list[str]:
    """The best index that can be reached; one or two changes that reach the goal, or what is left where none does."""
    if advice is None:
        return []
    said = [_best(advice.best, row["units"])]
    said += [
        say("handling.one.change", number=number, change=change_text(move, row["units"]))
        for number, move in enumerate(advice.changes, start=1)
    ]
    if advice.changes:
        said.append(say("handling.one.margin"))
    if not advice.changes and (answer.li is None or answer.li > 1):
        said.append(say("handling.one.no_change"))
        if math.isfinite(advice.halves):
            said.append(say("handling.one.halves", index=index_text(advice.halves)))
    return said


def _best(best: Move, units: str) -> str:
    if not math.isfinite(best.li):
        return say("handling.one.best_none")
    return say("handling.one.best", change=change_text(best, units))


def place_name(code: str) -> str:
    """A kind of place in words."""
    return say(f"handling.one.place.{code}")


def not_savable(case: Case, *, hours: float, units: str) -> str:
    """Why a lift cannot be saved as a task of the case; empty where it can.

    A task has no hours of its own: beyond 8 hours its index is a lower limit because the shift of the case is longer.
    """
    if units != case.units:
        return say("handling.one.save_units")
    if not case.patterns or not case.methods:
        return say("handling.one.save_no_pattern")
    limit = constants(units).shift_limit
    if hours > limit and case.place.hours_per_shift <= limit:
        return say("handling.one.save_hours", hours=fixed(hours, 1))
    return ""
