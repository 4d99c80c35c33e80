"""Every handling task of a case at the pace that the standard implies -> what may be lifted, the index, what binds."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from coreset.case import Case, Lift
from coreset.lifting.constants import constants, limit_status
from coreset.lifting.duration import averaged_per_min, duration_class
from coreset.lifting.en_iso import SHIFT_LONGEST_H, Carrying, Factored, carrying, factored_index, in_kg_and_m
from coreset.lifting.lift_end import Posture, heaviest, lifting_index, name_of, rate
from coreset.lifting.scope import (
    CARRY_MAX,
    TOO_MUCH,
    limits_of_result,
    not_covered,
    outside_conditions,
    past_limits,
    slips,
)
from coreset.lifting.screened_task import RatedEnd, Screened
from coreset.units import MIN_PER_H, S_PER_MIN


def travel_of(lift: Lift) -> float:
    """D of a task: as entered, else the difference of the two heights."""
    return lift.travel or abs(lift.vertical_destination - lift.vertical_origin)


def molds_per_run(case: Case, pattern: str) -> float:
    """Molds made in one set-up of a pattern."""
    found = case.pattern(pattern)
    return found.molds_per_year.likely / found.runs_per_year


def frequency(case: Case, lift: Lift, standard_s: float | None) -> tuple[float, str]:
    """Lifts a minute of a task, and where that comes from: override, standard, run; NaN and empty if not known.

    A task of the mold recurs once a standard time; a task of the run is spread over the molds of the run. Both are
    averaged over a quarter of an hour where the shift is worked in shorter spells.

    Parameters
    ----------
    case : Case
        Patterns and place.
    lift : Lift
        The task.
    standard_s : float or None
        Standard time of a mold. [s]
    """
    if lift.frequency_per_min:
        return lift.frequency_per_min, "override"
    if not standard_s or not math.isfinite(standard_s):
        return math.nan, ""
    per_mold, origin = lift.lifts_per_mold, "standard"
    if not per_mold and lift.lifts_per_run:
        per_mold, origin = lift.lifts_per_run / molds_per_run(case, lift.pattern), "run"
    return averaged_per_min(per_mold * S_PER_MIN / standard_s, case.place.sessions_min), origin


def duration_of(case: Case, lift: Lift) -> str:
    """Duration class of a task: its own, else by the spells of the shift."""
    place = case.place
    return lift.duration or duration_class(
        place.sessions_min, hours_per_shift=place.hours_per_shift, edition=place.recovery_edition
    )


def postures(case: Case, lift: Lift, *, frequency_per_min: float, duration: str) -> dict[str, Posture]:
    """What is measured at both ends of a task, by the name of the end.

    Parameters
    ----------
    case : Case
        Unit set and place.
    lift : Lift
        The task.
    frequency_per_min : float
        F. [lifts/min]
    duration : str
        short, moderate or long.
    """
    shared: dict[str, Any] = {
        "travel": travel_of(lift),
        "frequency_per_min": frequency_per_min,
        "duration": duration,
        "coupling": lift.coupling,
        "units": case.units,
    }
    return {
        "origin": Posture(
            horizontal=lift.horizontal_origin,
            vertical=lift.vertical_origin,
            angle_deg=lift.asymmetry_origin_deg,
            **shared,
        ),
        "destination": Posture(
            horizontal=lift.horizontal_destination,
            vertical=lift.vertical_destination,
            angle_deg=lift.asymmetry_destination_deg,
            vertical_at_origin=lift.vertical_origin,
            **shared,
        ),
    }


def standard_seconds(standards: Iterable[Any], figure: str = "standard_s") -> dict[tuple[str, str], float]:
    """Standard (or observed) time per mold by pattern and method, studies of a pair weighted by their cycles. [s]

    An estimated standard has no cycles; where none of a pair has any, they count alike.
    """
    pairs: dict[tuple[str, str], list[tuple[float, float]]] = {}
    for standard in standards:
        row = getattr(standard, figure), standard.cycles
        pairs.setdefault((standard.pattern, standard.method), []).append(row)
    return {key: _weighted(rows) for key, rows in pairs.items()}


def _weighted(rows: list[tuple[float, float]]) -> float:
    total = sum(cycles for _, cycles in rows)
    if not total:
        return sum(seconds for seconds, _ in rows) / len(rows)
    return sum(seconds * cycles for seconds, cycles in rows) / total


def _slips_of(posture: Posture, mass: float) -> tuple[str, ...]:
    return slips(
        units=posture.units,
        mass=mass,
        horizontal=float(posture.horizontal),
        vertical=float(posture.vertical),
        frequency_per_min=float(posture.frequency_per_min),
        angle_deg=float(posture.angle_deg),
    )


def _past(posture: Posture, fm: float) -> tuple[str, ...]:
    return past_limits(
        units=posture.units,
        horizontal=float(posture.horizontal),
        vertical=float(posture.vertical),
        travel=float(posture.travel),
        angle_deg=float(posture.angle_deg),
        fm=fm,
    )


def rated_end(posture: Posture, mass: float, *, covered: bool) -> tuple[RatedEnd, str]:
    """One end of a task and the multiplier that binds there; RWL and LI only where the method covers the task.

    Parameters
    ----------
    posture : Posture
        What is measured at that end.
    mass : float
        Load; NaN if not known. [mass]
    covered : bool
        Whether the method covers the task.
    """
    end = rate(posture)
    rwl, li = float(end.rwl), float(lifting_index(mass, end.rwl)) if mass > 0 else math.nan
    parts = {name: float(getattr(end, name)) for name in ("hm", "vm", "dm", "am", "fm", "cm")}
    known = covered and math.isfinite(rwl)
    figures = RatedEnd(rwl=rwl if known else None, li=li if known and math.isfinite(li) else None, **parts)
    return figures, name_of(int(end.binding))


def screen_lift(case: Case, lift: Lift, *, frequency_per_min: float, frequency_from: str) -> Screened:
    """One task of a case at a given pace.

    Parameters
    ----------
    case : Case
        Cores, place and unit set.
    lift : Lift
        The task.
    frequency_per_min : float
        F; NaN if not known. [lifts/min]
    frequency_from : str
        Where it comes from, as from :func:`frequency`.
    """
    mass, duration = case.mass_of(lift), duration_of(case, lift)
    ends = postures(case, lift, frequency_per_min=frequency_per_min, duration=duration)
    reasons, questions = not_covered(lift, units=case.units), tuple[str, ...]()
    if not lift.hoist:
        unlikely = tuple(dict.fromkeys(code for posture in ends.values() for code in _slips_of(posture, mass)))
        reasons += tuple(code for code in unlikely if code not in TOO_MUCH)
        questions = tuple(code for code in unlikely if code in TOO_MUCH)
    reasons += () if frequency_from else ("no_standard",)
    reasons += ("no_mass",) if math.isnan(mass) else ()
    rated = {name: rated_end(posture, mass, covered=not reasons) for name, posture in ends.items()}
    counted = ["origin", "destination"] if lift.control_at_destination else ["origin"]
    end = min(counted, key=lambda name: math.prod(_multipliers(rated[name][0])))
    figures, binding = rated[end]
    past = () if reasons or figures.rwl else _past(ends[end], figures.fm)
    return Screened(
        pattern=lift.pattern,
        method=lift.method,
        task=lift.task,
        mass=mass,
        frequency_per_min=frequency_per_min,
        frequency_from=frequency_from,
        duration=duration,
        applies=not reasons,
        why_not=reasons + past,
        at_least=outside_conditions(lift, case.place, units=case.units) if not reasons else (),
        li=figures.li,
        li_largest=figures.li * heaviest(mass, lift.mass_max) / mass if figures.li else None,
        rwl=figures.rwl,
        carrying=_carried(case, lift, mass, frequency_per_min),
        team=factored(case, lift, frequency_per_min=frequency_per_min) if lift.persons > 1 and not lift.hoist else None,
        binding=binding,
        end=end,
        origin=rated["origin"][0],
        destination=rated["destination"][0],
        limits=limits_of_result(case.place) + questions + _bunched(case, lift, frequency_per_min, frequency_from),
        status=limit_status(frequency_per_min, lift.coupling),
    )


def factored(case: Case, lift: Lift, *, frequency_per_min: float) -> Factored | None:
    """Index of a lift with one hand or by a team, from the RWL of the same lift by one person with two hands.

    It is for the largest load; None where pace or mass is not known or not plausible. A team's index is a lower limit.

    Parameters
    ----------
    case : Case
        Cores, place and unit set.
    lift : Lift
        The task, with its hands and persons.
    frequency_per_min : float
        F; NaN if not known. [lifts/min]
    """
    plain = replace(lift, hands=2, persons=1, carry=0.0)
    known = "override" if math.isfinite(frequency_per_min) else ""
    found = screen_lift(case, plain, frequency_per_min=frequency_per_min, frequency_from=known)
    if found.rwl is None:
        return None
    hours = min(case.place.hours_per_shift, SHIFT_LONGEST_H)
    mass = heaviest(found.mass, lift.mass_max)
    rated = factored_index(found.rwl, mass, hands=lift.hands, persons=lift.persons, hours=hours)
    harder = hours < case.place.hours_per_shift or bool({*found.at_least} - {"over_8_h"})
    return replace(rated, at_least=rated.at_least or harder)


def _carried(case: Case, lift: Lift, mass: float, per_min: float) -> Carrying | None:
    """The carry that comes on top of the lift; None where there is none, or none that the limits are made for.

    The limits are made for two hands. Of a load that several carry, each is taken to bear an equal share.
    """
    if lift.hoist or lift.hands == 1 or lift.carry <= CARRY_MAX[case.units] or math.isnan(mass):
        return None
    kg, m = in_kg_and_m(lift, mass / lift.persons, case.units)
    return carrying(kg, m, per_min=per_min, minutes_per_shift=case.place.hours_per_shift * MIN_PER_H)


def _bunched(case: Case, lift: Lift, per_min: float, origin: str) -> tuple[str, ...]:
    """Whether lifts of a set-up would be more frequent if all fell into one quarter of an hour [waters1994] 1.3."""
    c = constants(case.units)
    together = lift.lifts_per_run / c.frequency_sample
    return ("bunched",) if origin == "run" and not lift.hoist and together > max(per_min, c.frequency_floor) else ()


def _multipliers(end: RatedEnd) -> tuple[float, ...]:
    return end.hm, end.vm, end.dm, end.am, end.fm, end.cm


def screen(case: Case, standards: Iterable[Any]) -> tuple[Screened, ...]:
    """Every handling task of a case, each at both ends, at the pace of its standard time.

    Parameters
    ----------
    case : Case
        Lifts, cores, place; masses and lengths in the case's unit set.
    standards : iterable of Standard
        Standard times per mold; each has `pattern`, `method`, `standard_s`, `cycles`.

    Returns
    -------
    tuple of Screened
        One a lift, in the order of the case. The governing end is that with the lower RWL; the destination counts
        where the load is placed with care.

    References
    ----------
    [waters1994] sections 1.2 and 1.3.
    """
    seconds = standard_seconds(standards)
    found = []
    for lift in case.lifts:
        per_min, origin = frequency(case, lift, seconds.get((lift.pattern, lift.method)))
        found.append(screen_lift(case, lift, frequency_per_min=per_min, frequency_from=origin))
    return tuple(found)
