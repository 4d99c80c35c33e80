"""The working of the line's figures: rate, mold cycle, cooling, vacuum and force, to be redone by pocket calculator."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from coreset.case import Case
from coreset.line.cooling import by_section, cooling_min, power, taken_from_section
from coreset.line.cup_leak import cup_radius_cm, shapes
from coreset.line.leak import AIR_PA_S, intrinsic_m2
from coreset.line.mold_cycle import LEVELS as CYCLE_LEVELS
from coreset.line.rates import LEVELS as RATE_LEVELS
from coreset.line.report.core_supply import supply
from coreset.line.setter_hold import FRICTION, GRAVITY_M_S2
from coreset.line.station_limits import batched, inner_places, pouring_s, rows_after
from coreset.line.supply_curve import crossing
from coreset.report.run_working import between_two, both_ends, mean_of, seeded
from coreset.rounding import fixed
from coreset.sources import table, used
from coreset.text import say
from coreset.units import S_PER_H
from coreset.working import Working

SLOW = 0.9
"""Share of single mold cycles that the slowest tenth lies above."""
AFS = "afs_moldtest"
TRADE = "common_practice"


def rates(case: Case, found: Iterable[Any], *, seed: int | None = None) -> list[Working]:
    """Molds an hour of each pattern and method, with both ends of the interval.

    Parameters
    ----------
    case : Case
        The line.
    found : iterable of Rate
        Its rates by pattern and method.
    seed : int, optional
        Named beside the ends of the intervals where it is not the case's own.
    """
    lines = []
    for row in found:
        lines.append(
            Working(
                what=say("line.working.rate", pattern=row.pattern, method=row.method),
                formula=say("line.working.rate_formula"),
                numbers=f"{fixed(row.running, 4)} · 3600 / {fixed(S_PER_H * row.running / row.molds_per_h, 3)}",
                value=row.molds_per_h,
                unit="molds/h",
            )
        )
        lines += both_ends(_ends("rate", row), row.draws, RATE_LEVELS, unit="molds/h", where=seeded(seed))
    return lines + _pouring(case) + _cooling(case) + _rows(case) + supply(case)


def _pouring(case: Case) -> list[Working]:
    """Mean pouring time of each pattern where it scatters, with the time that the table takes at least."""
    cv, index, how = case.line.pouring_cv, case.line.index_s, "pouring_alone" if batched(case) else "pouring"
    return [
        Working(
            what=say("line.working.pouring", pattern=p.pattern),
            formula=say(f"line.working.{how}_formula"),
            numbers=f"{fixed(p.pouring_s or case.line.pouring_s, 2)} ± {fixed(100 * cv)} %, {fixed(index, 2)}",
            value=pouring_s(case, p),
            unit="s",
        )
        for p in case.patterns
        if cv > 0
    ]


def _cooling(case: Case) -> list[Working]:
    lines = [_section(case, p) for p in case.patterns if taken_from_section(case, p)]
    for p in (p for p in case.patterns if cooling_min(case, p) > 0):
        need = cooling_min(case, p)
        parts = [inner_places(case), *(stations for _, stations, _ in rows_after(case, p))]
        places = f"({' + '.join(map(str, parts))})" if len(parts) > 1 else str(parts[0])
        lines.append(
            Working(
                what=say("line.working.cooling", pattern=p.pattern),
                formula=say("line.working.cooling_formula"),
                numbers=f"60 · {places} / {fixed(need, 1 if taken_from_section(case, p) else 0)}",
                value=60.0 * sum(parts) / need,
                unit="molds/h",
            )
        )
    return lines


def _section(case: Case, p: Any) -> Working:
    """Cooling time by section, between the two that the plant knows."""
    line = case.line
    return Working(
        what=say("line.working.section", pattern=p.pattern),
        formula=say("line.working.section_formula"),
        numbers=f"{fixed(line.thin_cooling_min)} · ({fixed(p.section, 1)} / {fixed(line.thin_section, 1)})"
        f"^{fixed(power(case), 3)}",
        value=by_section(case, p.section),
        unit="min",
    )


def _rows(case: Case) -> list[Working]:
    """Most that an outer row and an upper level take, if any pattern's molds travel them."""
    found = dict.fromkeys(row for p in case.patterns for row in rows_after(case, p) if row[2] > 0)
    return [
        Working(
            what=say("line.working.row", row=say(f"line.where.{name}")),
            formula=say("line.working.row_formula"),
            numbers=f"3600 / {fixed(index, 2)}",
            value=S_PER_H / index,
            unit="molds/h",
        )
        for name, _, index in found
    ]


def _ends(key: str, row: Any) -> dict[str, str]:
    what = say(f"line.working.{key}", pattern=row.pattern, method=row.method)
    return {end: say(f"line.working.end_{end}", what=what) for end in ("low", "high")}


def cycles(found: Iterable[Any], *, seed: int | None = None) -> list[Working]:
    """The loop that sets each mold cycle, its steps' durations added up; mean, interval and slowest tenth as drawn."""
    lines = []
    for row in found:
        seconds = dict(zip((step.name for step in row.steps), row.step_s, strict=True))
        total = sum(seconds[name] for name in row.critical)
        spans = max(1, round(total / row.deterministic_s)) if row.deterministic_s else 1
        lines.append(
            Working(
                what=say("line.working.cycle", pattern=row.pattern, method=row.method),
                formula=say("line.working.cycle_formula"),
                numbers=f"({' + '.join(f'{name} {fixed(seconds[name], 2)}' for name in row.critical)}) / {spans}",
                value=row.deterministic_s,
                unit="s",
            )
        )
        lines += _drawn(row, seeded(seed))
    return lines


def _drawn(row: Any, where: str) -> list[Working]:
    """Mean and interval of a mold cycle over the resampled studies, and the nine in ten of single cycles."""
    named = {"pattern": row.pattern, "method": row.method}
    mean = mean_of(say("line.working.cycle_mean", **named), "Σx / n", row.draws_s, unit="s", where=where)
    slow = between_two(say("line.working.cycle_slow", **named), row.sample_s, SLOW, unit="s", where=where)
    return [mean, *both_ends(_ends("cycle_mean", row), row.draws_s, CYCLE_LEVELS, unit="s", where=where), slow]


def fit(case: Case, found: Sequence[Any]) -> list[Working]:
    """Leak, vacuum, force and force needed of every core of which all is known."""
    lines = []
    for p in found:
        for core in (core for core in p.cores if not core.lacks):
            lines += _core(case, core)
    return lines


def _core(case: Case, core: Any) -> list[Working]:
    stated = case.core(core.pattern, core.core)
    names = {"pattern": core.pattern, "core": core.core}
    k = float(intrinsic_m2(stated.permeability_afs))
    a, setter = core.area_cm2 * 1e-4, case.setter
    radius, middle = cup_radius_cm(case, stated) / 100.0, shapes(case, stated)[1]
    shape = f"{stated.cups} · {fixed(middle, 2)} · {k:.3e} · {fixed(radius, 4)} / {AIR_PA_S:.2e} · 6·10⁷"
    (p0, q0), (p1, q1), total = crossing(setter, core.reached_kpa)
    drop = f"({fixed(q0)} − {fixed(q1)}) / ({fixed(p1, 1)} − {fixed(p0, 1)})"
    lines = [
        Working(
            what=say("line.working.leak", **names), formula=say("line.working.leak_formula"), numbers=shape,
            value=core.leak_l_min_kpa, unit="l/min/kPa", **used(AFS, "PERM-number", "PERM-darcy"),
        ),
        Working(
            what=say("line.working.reach", pattern=core.pattern), formula=say("line.working.reach_formula"),
            numbers=f"({fixed(q0)} + {fixed(p0, 1)} · {drop}) / ({drop} + {fixed(total, 2)})",
            value=core.reached_kpa, unit="kPa",
        ),
        Working(
            what=say("line.working.force", **names), formula=say("line.working.force_formula"),
            numbers=f"{fixed(core.reached_kpa, 1)} · 10³ · {fixed(a, 4)}", value=core.force_n, unit="N",
        ),
    ]  # fmt: skip
    return lines + [_needed(core, held, setter.turn_acceleration_m_s2, names) for held in core.held]


def _needed(core: Any, held: Any, acceleration: float, names: dict[str, str]) -> Working:
    m, g, a = fixed(core.mass_kg, 2), fixed(GRAVITY_M_S2, 2), fixed(acceleration, 1)
    numbers = {"hanging": f"{m} ({g} + {a})", "on edge": f"{m} ({g} / {FRICTION} + {a})", "lying": f"{m} · {a}"}
    edge = held.orientation == "on edge" and core.grip != "form"
    how = "by form" if held.orientation == "on edge" and not edge else held.orientation
    return Working(
        what=say("line.working.needed", orientation=say(f"line.orientation.{held.orientation}"), **names),
        formula=say(f"line.working.needed_{how}"),
        numbers=numbers["lying" if how == "by form" else how],
        value=held.needed_n,
        unit="N",
        **(used(TRADE, rows=[table(f"{TRADE}/vacuum").status]) if edge else {}),
    )
