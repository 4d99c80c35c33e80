"""Cores beyond the setting of them: breakage, trips, assembly off the line. In: case. Out: steps and sums of a mold.

Nothing is taken where nothing is entered: no published rate of core breakage or of mold shift by method was found.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from coreset.case import Case, Method
from coreset.case.kinds import MACHINE
from coreset.line.line_kinds import at_mold
from coreset.line.method_steps import OPERATOR, SETTER, Activity, Wait
from coreset.units import S_PER_H, S_PER_MIN

PERCENT = 100.0
SAMPLE = 2_000
"""Molds among which broken cores are spread as they come."""
MANY = 100.0
"""Broken cores a mold from which all molds are taken as alike."""
REPLACE, TRIP = "replace broken cores", "fetch cores by trips"
WHILE_LOADING, OUTSIDE, INSIDE, OTHERS = "while loading", "operator, mold waits", "operator, beside", "another person"


@dataclass(frozen=True, slots=True, kw_only=True)
class CoreSupply:
    """What one pattern's cores take under one method beyond the timed steps, for one mold on average.

    `cores` set, `broken` of them on the way; seconds of replacing them and of trips; `people_h`: hours of people off
    the line; `losses`: broken cores and reworked castings. [currency] `last_molds`: molds that the places at the line
    hold cores for, None where not stated.
    """

    cores: int
    broken: float
    replace_s: float
    trip_s: float
    people_h: float
    losses: float
    last_molds: float | None


def core_supply(case: Case, pattern: str, method: str) -> CoreSupply:
    """Breakage, trips and work off the line for one mold.

    Parameters
    ----------
    case : Case
        Its cores and methods.
    pattern, method : str
        Codes.

    Returns
    -------
    CoreSupply
        Of n cores a mold a share b breaks, found at once: n b / (1 - b) more are taken for one mold, each with the time
        to set another; n / q trips for one mold with q cores a trip.
    """
    way, rows = case.method(method), [core for core in case.cores_of(pattern) if core.kind == "core"]
    share = way.breakage_pct / PERCENT
    each = share / (1.0 - share)
    count = case.core_count(pattern)
    trips = count / way.cores_per_trip if way.cores_per_trip else 0.0
    rework = way.rework_pct / PERCENT * case.pattern(pattern).castings_per_mold * way.rework_cost
    by_others = trips * way.trip_min * S_PER_MIN if way.trips_by == OTHERS else 0.0
    held = way.supply_places * way.cores_per_trip
    return CoreSupply(
        cores=count,
        broken=count * each,
        replace_s=count * each * way.breakage_s,
        trip_s=trips * way.trip_min * S_PER_MIN,
        people_h=(by_others + way.assembly_s) / S_PER_H,
        losses=each * sum(core.per_mold * core.cost for core in rows) + rework,
        last_molds=held / count if held and count else None,
    )


def half_entered(case: Case, method: Method) -> Iterator[str]:
    """What of breakage, rework, trips and places is entered without its other half, so that nothing is taken for it."""
    costs = any(core.cost for core in case.cores if core.kind == "core")
    if method.breakage_s and not method.breakage_pct or method.breakage_pct and not (method.breakage_s or costs):
        yield "breakage"
    if bool(method.rework_pct) != bool(method.rework_cost):
        yield "rework"
    if method.trip_min and not method.cores_per_trip:
        yield "trips"
    if method.supply_places and not method.cores_per_trip:
        yield "places"


def with_supply(case: Case, pattern: str, method: str, steps: Sequence[Activity]) -> tuple[Activity, ...]:
    """The steps with what broken cores and trips add to the molds that have one.

    Work while the mold waits comes after the last step of core setting, and whatever waits for that step waits for it
    too; work while loading comes after the mask is loaded; work beside the line at the end of an operator's round. What
    an insert takes by hand that the mask takes is left out before, see `by_hand`.

    Parameters
    ----------
    case : Case
        Cores, breakage, trips.
    pattern, method : str
        The pair.
    steps : sequence of Activity
        Steps of the method for the pattern, in the method's order.
    """
    found, way, known = tuple(steps), case.method(method), core_supply(case, pattern, method)
    if way.breakage_found == WHILE_LOADING and (loaded := _loading(found)):
        found = _after(found, loaded[-1], REPLACE, known.replace_s, _broken_sample_s(known, way))
    else:
        found = _after(found, _setting(found), REPLACE, known.replace_s, _broken_sample_s(known, way))
    if way.trips_by == OUTSIDE:
        found = _after(found, _setting(found), TRIP, known.trip_s, _trip_sample_s(known, way))
    elif way.trips_by == INSIDE and known.trip_s > 0:
        trip = Activity(
            name=TRIP,
            by=OPERATOR,
            constant_s=known.trip_s,
            sample_s=_trip_sample_s(known, way),
            source="trips entered",
        )
        found = (*found, trip)
    return found


def by_hand(case: Case, pattern: str, method: Method) -> Method:
    """The method without steps that place by hand what the mask takes.

    Parameters
    ----------
    case : Case
        Cores, each with whether the mask takes it.
    pattern : str
        The pattern.
    method : Method
        Returned as it is where it uses no setter.
    """
    if not method.mechanised:
        return method
    taken = {core.core for core in case.cores_of(pattern) if core.in_mask}
    return replace(method, steps=tuple(step for step in method.steps if step.places not in taken))


def _loading(steps: Sequence[Activity]) -> list[str]:
    """Steps of people that the setter waits for."""
    fed = {wait.step for a in steps if a.by == SETTER for wait in a.waits}
    return [a.name for a in steps if a.name in fed and a.by not in (MACHINE, SETTER)]


def _setting(steps: Sequence[Activity]) -> str:
    """The last step at the mold that is not the machine's."""
    held = at_mold(steps)
    names = [a.name for a in steps if a.name in held and a.by != MACHINE]
    return (names or [steps[-1].name])[-1]


def _broken_sample_s(known: CoreSupply, way: Method) -> tuple[float, ...]:
    """Equally likely seconds of replacing a mold's broken cores, with the mean of all molds; empty where none breaks.

    Cores broken before so many have held are negative binomial. Where not one mold of the sample would have a broken
    core, or every mold has many, all molds take the mean.
    """
    share = way.breakage_pct / PERCENT
    if not known.replace_s or known.broken > MANY:
        return ()
    chance, count, within = (1.0 - share) ** known.cores, 0, 0.0
    sample: list[int] = []
    while len(sample) < SAMPLE:
        within += chance
        more = round(SAMPLE * within) - len(sample) if within < 1.0 - 0.5 / SAMPLE else SAMPLE - len(sample)
        sample += [count] * more
        chance *= share * (known.cores + count) / (count + 1)
        count += 1
    total = sum(sample)
    return tuple(known.replace_s * SAMPLE * each / total for each in sample) if total else ()


def _trip_sample_s(known: CoreSupply, way: Method) -> tuple[float, ...]:
    """Equally likely seconds of a mold's trips, whole trips each, with the mean of all molds; empty without trips.

    Which molds have one is drawn. Where not one mold of the sample would have a trip, all molds take the mean.
    """
    if not known.trip_s:
        return ()
    least, part = divmod(known.cores / way.cores_per_trip, 1.0)
    more = round(SAMPLE * part)
    sample = [least + 1.0] * more + [least] * (SAMPLE - more)
    total = sum(sample)
    return tuple(known.trip_s * SAMPLE * each / total for each in sample) if total else ()


def _after(
    steps: tuple[Activity, ...], name: str, new: str, seconds: float, sample_s: tuple[float, ...] = ()
) -> tuple[Activity, ...]:
    """The steps with one more that the doer of a step, or the operator after the setter, does after it."""
    if seconds <= 0:
        return steps
    place = next(k for k, a in enumerate(steps) if a.name == name)
    done = steps[place]
    by = OPERATOR if done.by in (SETTER, MACHINE) else done.by
    turns = max((a.turns for a in steps if a.by == by), default=1)
    more = Activity(
        name=new,
        by=by,
        constant_s=seconds,
        sample_s=sample_s,
        waits=(Wait(step=name),),
        source="rate entered",
        turns=turns,
    )

    def waiting(a: Activity) -> Activity:
        waits = tuple(replace(wait, step=new) for wait in a.waits if wait.step == name)
        return replace(a, waits=(*a.waits, *waits))

    return (*map(waiting, steps[: place + 1]), more, *map(waiting, steps[place + 1 :]))
