"""What cores take beyond their setting, to be redone by pocket calculator, and how long the cores at the line last."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from coreset.case import Case
from coreset.line.core_supply import OTHERS, core_supply
from coreset.report.numbers import number
from coreset.rounding import fixed
from coreset.text import say
from coreset.working import Working

MIN_PER_H = 60.0


def lasts(case: Case, rate: Any) -> list[str]:
    """How many molds, and minutes, the cores at the line last; nothing where places or trips are not entered."""
    molds = core_supply(case, rate.pattern, rate.method).last_molds
    if molds is None:
        return []
    minutes = MIN_PER_H * molds / rate.molds_per_h
    return [say("line.flow.cores_last", method=rate.method, molds=number(molds), minutes=fixed(minutes))]


def supply(case: Case) -> list[Working]:
    """What broken cores, rework, trips and assembly take for a mold, wherever they are entered."""
    return [
        Working(
            what=say(f"line.working.supply_{name}", pattern=p.pattern, method=way.method),
            formula=say(f"line.working.supply_{name}_formula"),
            numbers=numbers,
            value=value,
            unit=unit,
        )
        for way in case.methods
        for p in case.patterns
        for name, numbers, value, unit in _rows(case, p, way)
        if value > 0
    ]


def _rows(case: Case, pattern: Any, way: Any) -> Iterator[tuple[str, str, float, str]]:
    """Name, numbers, value and unit of each sum of one pattern under one method."""
    known = core_supply(case, pattern.pattern, way.method)
    broken = f"{known.cores} · {fixed(way.breakage_pct, 2)} / (100 − {fixed(way.breakage_pct, 2)})"
    trips = f"{known.cores} / {way.cores_per_trip}" if way.cores_per_trip else "0"
    minutes = fixed(way.trip_min, 2)
    by_others = minutes if way.trips_by == OTHERS else "0"
    yield "broken", f"{broken} · {fixed(way.breakage_s, 1)}", known.replace_s, "s"
    yield "trips", f"60 · {trips} · {minutes}", known.trip_s, "s"
    yield "people", f"({trips} · 60 · {by_others} + {fixed(way.assembly_s, 1)}) / 3600", known.people_h, "h"
    own = [core for core in case.cores_of(pattern.pattern) if core.kind == "core"]
    cost = fixed(sum(core.per_mold * core.cost for core in own) / (known.cores or 1), 4)
    rework = f"{fixed(way.rework_pct, 2)} / 100 · {pattern.castings_per_mold} · {fixed(way.rework_cost, 2)}"
    yield "losses", f"{broken} · {cost} + {rework}", known.losses, case.currency
