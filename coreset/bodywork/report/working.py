"""Workings of what lies beside the lifting equation: energy, rest, heat, hand work, shared lifts, carrying."""

from __future__ import annotations

import math
from typing import Any

from coreset.bodywork.energy import STANDARD_BODY_KG, standing_kcal_per_min
from coreset.rounding import fixed
from coreset.sources import table, used
from coreset.text import say
from coreset.working import Working

CAPACITY, REST, ALLOWED = 9.5, 1.5, 5.0
"""[waters1993] capacity and [murrell1965] figures as they stand in the formulas shown. [kcal/min]"""


STRAIN_RULES = {"moore1995": ("SI-product", "SI-ratings"), "garg2017": ("RSI-product",)}


def _line(what: str, formula: str, numbers: str, value: float, unit: str = "", **source: Any) -> Working:
    return Working(
        what=say(f"handling.body.{what}"), formula=formula, numbers=numbers, value=value, unit=unit, **source
    )


def working_of_workload(load: Any) -> list[Working]:
    """Energy by components, in watts, its limit, the rest it calls for, and heat where it was measured."""
    rows = {row["item"]: row["kcal_per_min"] for row in table("acgih1992/components").rows}
    basal, standing = rows["basal metabolism"], rows["standing"]
    scale = load.kcal_per_min / load.components_kcal_per_min
    work = load.components_kcal_per_min - float(basal) - float(standing)
    kcal = fixed(max(load.kcal_per_min, load.lifting_high_kcal_per_min), 3)
    upright = standing_kcal_per_min(scale * STANDARD_BODY_KG)
    lines = [
        _line(
            "components",
            "(basal + standing + work) × body mass / 70",
            f"({basal} + {standing} + {fixed(work, 1)}) × {fixed(scale, 3)}",
            load.kcal_per_min,
            "kcal/min",
            **used("acgih1992", "ENERGY-components", "ENERGY-mass"),
        ),
        _line(
            "terms",
            "standing × body mass + sum of F × (lift + carry + walk back + hold + push)",
            f"{fixed(upright, 3)} + {fixed(load.lifting_kcal_per_min - upright, 3)}",
            load.lifting_kcal_per_min,
            "kcal/min",
            **used("garg1978", "ENERGY-standing", "ENERGY-lifts", "ENERGY-others", "ENERGY-push"),
        ),
        _line("watts", "larger of components and the most by terms × 69.78", f"{kcal} × 69.78", load.watts, "W"),
        _line(
            "limit",
            "9.5 × share (× 0.7 with hands at or above the reference height)",
            f"{CAPACITY} × {fixed(load.limit_kcal_per_min / CAPACITY, 4)}",
            load.limit_kcal_per_min,
            "kcal/min",
            **used("waters1993", "ENERGY-base", "ENERGY-share", "ENERGY-arms"),
        ),
        _line(
            "rest",
            "60 (W - 5)/(W - 1.5), 0 up to 5",
            f"60 ({kcal} - {ALLOWED})/({kcal} - {REST})" if load.rest_min_per_h else f"{kcal} <= {ALLOWED}",
            load.rest_min_per_h,
            "min/h",
            **used("murrell1965", "REST-energy"),
        ),
    ]
    return [*lines, *(_heat(load.heat) if load.heat else [])]


def _heat(heat: Any) -> list[Working]:
    limits = table("niosh2016/limits")
    row = next(row for row in limits.rows if row["limit"] == heat.niosh.name)
    formula = f"{row['constant']} - {row['factor']} log10 M"
    added = heat.adjusted_c - heat.wbgt_c
    watts = fixed(heat.niosh.metabolic_w, 1)
    return [
        _line(
            "wbgt",
            "WBGT + clothing",
            f"{fixed(heat.wbgt_c, 2)} + {fixed(added, 1)}",
            heat.adjusted_c,
            "°C",
            **_clothing(added),
        ),
        _line(
            "heat_limit",
            formula,
            formula.replace("M", watts),
            heat.niosh.wbgt_c,
            "°C",
            where="section 8",
            **used("niosh2016", "HEAT-limits", "HEAT-mean", rows=[heat.niosh.status]),
        ),
    ]


def _clothing(added_c: float) -> dict[str, Any]:
    """What an adjustment for clothing rests on: the row of the table that has it; nothing without clothing to add."""
    printed = table("iso7243_2017/clothing")
    rows = [row for row in printed.rows if math.isclose(float(row["adjustment_c"]), added_c, abs_tol=1e-6)]
    return used("iso7243_2017", "HEAT-clothing", rows=map(printed.row_status, rows)) if rows and added_c else {}


def working_of_strain(fitting: Any) -> list[Working]:
    """Products of the Strain Index and of the Revised Strain Index, where they fit the task."""
    lines = []
    for name, found in (("strain", fitting.strain), ("revised", fitting.revised)):
        if found:
            formula = " × ".join(say(f"handling.strain.{part}") for part in found.multipliers)
            numbers = " × ".join(fixed(value, 4) for value in found.multipliers.values())
            rests = used(found.source, *STRAIN_RULES[found.source], rows=[found.status])
            lines.append(_line(name, formula, numbers, found.index, **rests))
    return lines


def working_of_fitting(fitting: Any) -> list[Working]:
    """What the methods that fit a task say: indices of hand work, the factored index, the worst share of carrying."""
    lines = working_of_strain(fitting) + ([working_of_factored(fitting.factored)] if fitting.factored else [])
    return lines + ([working_of_carrying(fitting.carrying)] if fitting.carrying else [])


def working_of_factored(one: Any) -> Working:
    """Index of a lift with one hand or by a team, from its RWL above 0 and the factors."""
    plain = one.rwl / math.prod(one.factors.values())
    factors = " × ".join(fixed(factor, 4) for factor in one.factors.values())
    numbers = f"{fixed(one.load_share, 2)} / ({fixed(plain, 4)} × {factors})"
    rule = ("hse2004", "HSE-team") if one.persons > 1 else ("en1005_2", "EN-factors")
    formula = "load of one person / (RWL × factors)"
    return _line("factored", formula, numbers, one.index, **used(*rule, rows=[one.status]))


def working_of_push(one: Any) -> Working:
    """The larger share of the two guideline figures of a push or pull, force over figure."""
    pairs = ((one.start_n, one.start_most_n), (one.keep_n, one.keep_most_n))
    force, figure = max(pairs, key=lambda pair: pair[0] / pair[1])
    rests = used("hse_pushpull", "PUSH-figures", "PUSH-lower", rows=[one.status])
    return _line("push", "force / guideline figure", f"{fixed(force)} / {fixed(figure)}", force / figure, **rests)


def working_of_carrying(one: Any) -> Working:
    """The worst share of the carrying limits, done over allowed."""
    done, limit = one.carried[one.binding], one.limits[one.binding]
    rule = "CARRY-mass" if one.binding == "mass" else "CARRY-limits"
    rests = used("iso11228_2003", rule, rows=[one.status])
    return _line("carrying", "done / allowed", f"{fixed(done, 2)} / {fixed(limit)}", one.share, **rests)
