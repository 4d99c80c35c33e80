"""Rest by the allowance beside rest by energy and by heat: set side by side, never added; levelling in words."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Any

from coreset.bodywork.report.working import working_of_workload
from coreset.bodywork.static_hold import Hold
from coreset.rounding import fixed
from coreset.sources import used
from coreset.study.allowances import on_basis
from coreset.study.rating_scales import levelling, levelling_table
from coreset.study.standard import Standard
from coreset.text import say
from coreset.units import MIN_PER_H
from coreset.working import Working

FACTORS = ("skill", "effort", "conditions", "consistency")


def allowed_min_per_h(row: Standard) -> float:
    """Minutes of an hour that the allowance leaves free. [min/h]"""
    return MIN_PER_H / 100 * on_basis(row.allowance_pct, basis_from=row.allowance_basis, basis_to="shift")


def rest_rows(row: Standard, loads: Iterable[Any], held: Sequence[Hold] = ()) -> list[dict[str, str]]:
    """Rest in an hour by allowance, energy, heat and static holding, for the standard's pattern and method.

    Parameters
    ----------
    row : Standard
        The standard time, with its allowance.
    loads : iterable of Workload
        Energy and heat; those of the same pattern and method count.
    held : sequence of Hold
        Static holds of the lifts, where they are described.
    """
    found = [(say("study.rest.allowance"), allowed_min_per_h(row), say("study.rest.of_work"))]
    for load in own(row, loads):
        found.append((say("study.rest.energy"), load.rest_min_per_h, say("study.rest.of_energy")))
        if load.heat is not None:
            found.append((say("study.rest.heat"), MIN_PER_H - load.heat.work_min_per_h, say("study.rest.of_heat")))
    static = sum(one.rest_min_per_h for one in held) if held else math.nan
    found.append((say("study.rest.static"), static, say("study.rest.of_static" if held else "study.rest.no_static")))
    return [
        {say("study.rest.by"): name, say("study.rest.minutes"): fixed(value, 1), say("study.rest.from"): where}
        for name, value, where in found
    ]


def own(row: Standard, loads: Iterable[Any]) -> list[Any]:
    """The loads of a standard's pattern and method."""
    return [load for load in loads if (load.pattern, load.method) == (row.pattern, row.method)]


def rest_working(row: Standard, loads: Iterable[Any], held: Sequence[Hold] = ()) -> list[Working]:
    """How each of the rests in an hour came about.

    Parameters
    ----------
    row : Standard
        The standard time, with its allowance.
    loads : iterable of Workload
        Energy and heat; those of the same pattern and method count.
    held : sequence of Hold
        Static holds of the lifts, where they are described.
    """
    share, normal = fixed(row.allowance_pct / 100, 4), row.allowance_basis == "normal"
    lines = [
        Working(
            what=say("study.rest.allowance"), formula="60 A/(1 + A)" if normal else "60 A",
            numbers=f"60 × {share}/(1 + {share})" if normal else f"60 × {share}", value=allowed_min_per_h(row),
            unit="min/h", where="equations 7-7, 7-8", **used("stevenson", "TIME-job" if normal else "TIME-shift"),
        )
    ]  # fmt: skip
    for load in own(row, loads):
        lines += working_of_workload(load)
        if load.heat is not None:
            worked = load.heat.work_min_per_h
            lines.append(
                Working(what=say("study.rest.heat"), formula="60 − w", numbers=f"60 − {fixed(worked, 1)}",
                        value=MIN_PER_H - worked, unit="min/h", where="section 8",
                        **used("niosh2016", "HEAT-limits", "HEAT-mean", rows=[load.heat.niosh.status]))
            )  # fmt: skip
    return [*lines, *(line for one in held for line in _static(one))]


def _static(one: Hold) -> list[Working]:
    f, t = fixed(one.share, 2), fixed(one.hold_s / 60, 4)
    what = say("study.rest.static_of", task=one.task)
    if not one.endurance_min:
        return [Working(what=what, formula="f ≥ 0.20", numbers=f"f = {f}", value=0.0, unit="min/h",
                        **used("bernard2006", "HOLD-endurance"))]  # fmt: skip
    return [
        Working(what=say("study.rest.endurance", task=one.task), symbol="T", formula="−1.5 + 2.1/f − 0.6/f² + 0.1/f³",
                numbers=f"f = {f}", value=one.endurance_min, unit="min", **used("bernard2006", "HOLD-endurance")),
        Working(what=what, formula="n t × 18 (t/T)^1.4 (f − 0.15)^0.5",
                numbers=f"{fixed(one.per_h, 1)} × {t} × 18 ({t}/{fixed(one.endurance_min, 3)})^1.4 ({f} − 0.15)^0.5",
                value=one.rest_min_per_h, unit="min/h", **used("rohmert1960", "HOLD-rest")),
    ]  # fmt: skip


def grades(factor: str) -> list[str]:
    """Grade codes of one levelling factor, best first."""
    return [code for name, code in levelling_table() if name == factor]


def factor_name(factor: str) -> str:
    """Name of a levelling factor."""
    return say(f"study.levelling.{factor}")


def levelled(chosen: dict[str, str]) -> str:
    """The levelling factor of four grades in words, with its sum."""
    known = levelling_table()
    parts = " + ".join(fixed(known[name, chosen[name]], 2) for name in FACTORS).replace("+ -", "\N{MINUS SIGN} ")
    return say("study.levelling.result", parts=parts, factor=fixed(levelling(**chosen), 2))
