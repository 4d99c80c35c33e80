"""Rest by the allowance beside rest by energy and by heat: set side by side, never added; levelling in words."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from coreset.brief.text import say
from coreset.rounding import fixed
from coreset.study.allowances import on_basis
from coreset.study.ratings import levelling, levelling_table
from coreset.study.standard import Standard

MIN_PER_H = 60.0
FACTORS = ("skill", "effort", "conditions", "consistency")


def allowed_min_per_h(row: Standard) -> float:
    """Minutes of an hour that the allowance leaves free. [min/h]"""
    return MIN_PER_H / 100 * on_basis(row.allowance_pct, basis_from=row.allowance_basis, basis_to="shift")


def rest_rows(row: Standard, loads: Iterable[Any]) -> list[dict[str, str]]:
    """Rest in an hour by allowance, by energy and by heat, for the standard's pattern and method."""
    found = [(say("study.rest.allowance"), allowed_min_per_h(row), say("study.rest.of_work"))]
    for load in loads:
        if (load.pattern, load.method) != (row.pattern, row.method):
            continue
        found.append((say("study.rest.energy"), load.rest_min_per_h, say("study.rest.of_energy")))
        if load.heat is not None:
            found.append((say("study.rest.heat"), MIN_PER_H - load.heat.work_min_per_h, say("study.rest.of_heat")))
    return [
        {say("study.rest.by"): name, say("study.rest.minutes"): fixed(value, 1), say("study.rest.from"): where}
        for name, value, where in found
    ]


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
