"""Rows and sentences on changing a task: pace, what improves it, the smallest change, how sure its index is."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from coreset.case import UNIT_SETS
from coreset.lifting.constants import constants
from coreset.lifting.redesign import Change
from coreset.lifting.report.measures import reached_by, reached_with_index
from coreset.lifting.report.sentences import binding, label_of
from coreset.lifting.report.status import index_text, why_not
from coreset.lifting.task_values import TaskAt, deepest_core
from coreset.rounding import fixed
from coreset.text import say

VARIABLE_UNITS = {"horizontal": "length", "vertical": "length", "platform": "length", "mass": "mass"}

SELDOM_NAMED = 12
"""Tasks of a set-up that are named one by one."""


def unit_of(name: str, units: str) -> str:
    """Unit of a value that can be changed."""
    kind = VARIABLE_UNITS.get(name.split("_")[0])
    if name.endswith("_deg"):
        return say("handling.unit.degrees")
    return UNIT_SETS[units][kind] if kind else say("handling.unit.per_min")


def variable(name: str) -> str:
    """A value that can be changed, in words."""
    return say(f"handling.variable.{name}")


def crossing_rows(curves: Sequence[Any]) -> list[dict[str, str]]:
    """Pace at which each method's index passes each limit."""
    rows = []
    for curve in curves:
        row = {
            say("handling.column.method"): curve.method,
            say("handling.column.standard_pace"): fixed(curve.standard_per_h),
        }
        for crossing in curve.crossings:
            known = math.isfinite(crossing.molds_per_h) and crossing.kind != "always"
            words = fixed(crossing.molds_per_h) if known else say(f"handling.pace.{crossing.kind}")
            ends = known and crossing.kind == "table_end"
            row[say("handling.column.passes", level=fixed(crossing.level, 1))] = (
                say("handling.pace.ends_at", pace=words) if ends else words
            )
        rows.append(row)
    return rows


def pace_limits(curves: Iterable[Any]) -> str:
    """Why the indices against pace are lower limits, so that limits are passed at these paces at the latest."""
    codes = dict.fromkeys(code for curve in curves for code in curve.at_least)
    return say("handling.pace.at_least", why=why_not(codes)) if codes else ""


def ideal_rows(ideal_multipliers: Iterable[Any], *, pairs: int = 4) -> list[dict[str, Any]]:
    """Multipliers alone, best first, then the best pairs, for the chart and its table."""
    found = [one for one in ideal_multipliers if one.li is not None]
    alone = [one for one in found if len(one.names) == 1]
    both = [one for one in found if len(one.names) == 2][:pairs]
    return [
        {
            "label": " + ".join(say(f"handling.multiplier.{name}") for name in one.names),
            "li": one.li,
            "text": index_text(one.li),
        }
        for one in (*alone, *both)
    ]


def change_text(change: Any, units: str) -> str:
    """A change in words: each value from and to, and the index then, with that of 90 % of cycles."""
    li = _with_margin(change)
    if not change.after:
        return say("handling.change.none", li=li)
    return say("handling.change.row", steps="; ".join(_steps(change.before, change.after, units)), li=li)


def _with_margin(change: Any, at_least: Any = ()) -> str:
    """Index of a change, and the one that 90 % of cycles stay at or below where that was calculated."""
    li = index_text(change.li, at_least)
    known = math.isfinite(change.high)
    return say("handling.change.margin", li=li, high=index_text(change.high)) if known else li


def _steps(before: Mapping[str, float], after: Mapping[str, float], units: str) -> list[str]:
    """Each value that changed, from and to."""
    return [
        say(
            "handling.change.step",
            what=variable(name),
            before=_whole(before[name]),
            after=_whole(value),
            unit=unit_of(name, units),
        )
        for name, value in after.items()
        if fixed(before[name], 1) != fixed(value, 1)
    ]


def _whole(value: float) -> str:
    """A value without decimals where it is whole, else with one."""
    return fixed(value, 0 if float(value).is_integer() else 1)


def kept_text(name: str, before: Any, now: Any, reason: str) -> str:
    """What was changed in a task, for the trail: each value from and to, the hold, the reason.

    Parameters
    ----------
    name : str
        Name of the task.
    before, now : TaskAt
        The task before and after.
    reason : str
        Why, in the words of who changed it.
    """
    steps = _steps(before.values, now.values, now.units)
    if before.coupling != now.coupling:
        steps.append(say("handling.change.hold", before=before.coupling, after=now.coupling))
    changes = "; ".join(steps) or say("handling.change.nothing")
    return say("handling.page.kept", task=name, changes=changes, reason=reason)


def reason_text(typed: str) -> str:
    """The reason as typed, or that none was given."""
    return typed.strip() or say("handling.page.reason_unsaid")


def free_reach(units: str) -> str:
    """The reach that is free, as text."""
    return fixed(constants(units).horizontal_free)


def redesign_sentence(found: Any, units: str, *, target: float, at_least: Any = (), part: str = "") -> str:
    """The smallest changes that bring one lift to the target; else the best change, and the measures that reach it.

    `at_least` and `part` are what its index leaves out, as codes and from `part_sentence`: that no change is needed is
    said only where the lift is the whole job and meets the conditions of the method.

    Parameters
    ----------
    found : Redesign
        What was searched.
    units : {"metric", "us"}
        Unit set.
    target : float
        Index that is not to be exceeded. [-]
    at_least : tuple of str
        Codes of what the index leaves out.
    part : str
        The same in a sentence, from `part_sentence`.
    """
    said, margin = redesign_parts(
        found, units, target=target, at_least=at_least, part=part, measures=reached_with_index
    )
    return " ".join(filter(None, [said, margin, "" if part in said else part]))


def redesign_parts(
    found: Any, units: str, *, target: float, at_least: Any = (), part: str = "", measures: Any = None
) -> tuple[str, str]:
    """The answer of `redesign_sentence` without what its index leaves out, and apart from it what "reached" means.

    Parameters
    ----------
    found : Redesign
        Changes of one lift.
    units : {"metric", "us"}
        Unit set of the case.
    target : float
        Index that is to be reached. [-]
    at_least, part
        As for `redesign_sentence`.
    measures : callable, optional
        Says which measures reach the target, from `found` and `units`; without it they are named only.
    """
    total = found.total
    margin = say(f"handling.change.{'assumed' if found.assumed else 'entered'}", target=fixed(target, 1))
    if total is not None and not total.after:
        key = "none_alone" if part else "none"
        return say(f"handling.change.{key}", li=_with_margin(total, at_least), part=part), margin
    if total is not None:
        return _changes_sentence(found.singles, total, units, target), margin
    best = change_text(found.best, units) if found.best.after else say("handling.change.nowhere")
    reached = measures(found, units) if measures else reached_by(found)
    return " ".join([say("handling.change.impossible", target=fixed(target, 1), best=best), *reached]), margin


def _changes_sentence(singles: Sequence[Any], total: Any, units: str, target: float) -> str:
    """The smallest single change and the smallest change in all."""
    first = (
        say("handling.change.single", change=change_text(singles[0], units))
        if singles
        else say("handling.change.no_single", target=fixed(target, 1))
    )
    if singles and abs(singles[0].total - total.total) < 1e-3:
        return say("handling.change.same", change=change_text(total, units))
    return f"{first} {say('handling.change.total', change=change_text(total, units))}"


def room_sentence(task: TaskAt, changes: Iterable[Change]) -> str:
    """How deep a load the advised reaches leave room for, where its depth is not known; empty where it is."""
    found = [] if task.core_depth else [deepest_core(task, one.after) for one in changes]
    deepest = min((one for one in found if one is not None), default=None)
    if deepest is None:
        return ""
    words = {"depth": _whole(deepest), "unit": UNIT_SETS[task.units]["length"]}
    return say("handling.change.room", **words) if deepest > 0 else say("handling.change.no_room")


def core_box_sentence(found: Any, units: str, mass: float) -> str:
    """The largest mass and the deepest core at this reach and pace, for the designer of the core box.

    Parameters
    ----------
    found : CoreBox
        Largest mass and deepest core. [mass, length]
    units : {"metric", "us"}
        Unit set.
    mass : float
        Load of today. [mass]
    """
    names = UNIT_SETS[units]
    if found.mass == 0:
        return say("handling.core_box.nothing")
    said = say(
        "handling.core_box.mass",
        mass=fixed(found.mass, 1),
        good=fixed(found.mass_good, 1),
        unit=names["mass"],
    )
    if found.depth is None:
        return f"{said} {say('handling.core_box.no_depth', load=fixed(mass, 1), unit=names['mass'])}"
    depth = say(
        "handling.core_box.depth",
        load=fixed(mass, 1),
        unit=names["mass"],
        depth=_whole(found.depth),
        length=names["length"],
    )
    return f"{said} {depth}"


def seldom_sentence(found: Sequence[Any]) -> str:
    """Tasks that the manual allows to be rated at the short duration, each with both indices; empty without any."""
    tasks = [
        say("handling.seldom.task", task=label_of(one), index=index_text(one.index), short=index_text(one.short))
        for one in found[:SELDOM_NAMED]
    ]
    if (beyond := len(found) - len(tasks)) > 0:
        tasks.append(say("handling.seldom.more", count=beyond))
    return say("handling.seldom.row", tasks=", ".join(tasks)) if tasks else ""


def live_sentence(index: float, before: float | None, bound: str, *, below: bool = False) -> str:
    """The index of the sliders as they stand, beside that of today; `below` where the platform is too high for them.

    Parameters
    ----------
    index : float
        Index of the sliders; infinite where RWL is 0. [-]
    before : float or None
        Index of today. [-]
    bound : str
        Multiplier that costs most.
    below : bool
        Whether the platform is too high for the hands.
    """
    if below:
        return say("handling.live.below")
    if not math.isfinite(index):
        return say("handling.live.nothing", binding=binding(bound))
    return say("handling.live.row", li=index_text(index), before=index_text(before), binding=binding(bound))


def known(index: float) -> float | None:
    """An index, or None where nothing should be lifted."""
    return index if math.isfinite(index) else None
