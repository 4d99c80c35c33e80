"""What the pages show beside the assessment, as tidy rows: one row a thing, one named value a column."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable
from typing import Any

import numpy as np

from coreset.bodywork.workload import workloads
from coreset.brief.detail import Detail
from coreset.brief.document import plain
from coreset.lifting.exposure import compared

Row = dict[str, Any]
PARTS = ("working_share", "waiting_share", "idle_share")
LOSSES = ("working_share", "stopped_share", "blocked_share", "starved_share")
SCALAR = (str, int, float, bool, type(None), np.generic)


def flat(value: Any, before: str = "") -> Row:
    """A value's single figures by name; a value within it lends them its name, names in a row are joined.

    Examples
    --------
    >>> from dataclasses import make_dataclass
    >>> end = make_dataclass("End", ["low", "high"])(1.5, float("inf"))
    >>> flat(make_dataclass("Row", ["pattern", "payback"])("HB", end))
    {'pattern': 'HB', 'payback_low': 1.5, 'payback_high': None}
    """
    found: Row = {}
    for field in dataclasses.fields(value):
        item, name = getattr(value, field.name), before + field.name
        if dataclasses.is_dataclass(item):
            found |= flat(item, f"{name}_")
        elif isinstance(item, tuple) and all(isinstance(one, str) for one in item):
            found[name] = " + ".join(item)
        elif isinstance(item, SCALAR):
            found[name] = plain(item)
    return found


def more(assessment: Any, found: Detail) -> dict[str, list[Row]]:
    """Every further table by its name; a table that has no row is left out by whoever writes it."""
    case, money, pooled = assessment.case, assessment.money, list(assessment.pooled.values())
    return {
        "methods_compared": [{"pattern": pair.pattern} | flat(pair.found) for pair in found.pairs],
        "cycle_times": [row for study, one in found.series.items() for row in _cycles(study, one)],
        "cycle_order": [{"study": study} | flat(one) for study, one in found.ordered.items()],
        "cycle_shapes": [{"study": study} | flat(one) for study, fits in found.shapes.items() for one in fits],
        "allowances": [{"study": r.study} | flat(a) for r in assessment.standards for a in r.allowance_lines],
        "time_balances": [{"study": r.study} | flat(r.balance) for r in assessment.standards if r.balance is not None],
        "cycle_steps": [_named(row) | flat(bar) for row in assessment.mold_cycles for bar in row.bars],
        "cycle_shares": [
            _named(row) | {"who": who} | dict(zip(PARTS, (*both, row.idle[who]), strict=True))
            for row in assessment.mold_cycles
            for who, both in row.shares.items()
        ],
        "cycle_changes": [
            {"pattern": pattern, "change": c.code} | _moved(c) for pattern, all_ in found.changes.items() for c in all_
        ],
        "index_by_pace": [_named(curve) | point for all_ in found.curves.values() for curve in all_ for point in
                          _points(curve)],
        "index_by_pace_marks": [flat(curve) for all_ in found.curves.values() for curve in all_],
        "index_sureness": [
            _named(row) | {"task": row.task} | flat(one)
            for row, one in zip(assessment.handling, found.spreads, strict=True)
            if one is not None
        ],
        "ideal_effects": [
            _named(row) | {"task": row.task} | flat(one) for row, _, ideals in found.tasks for one in ideals
        ],
        "shift_by_person": [flat(one) for one in compared(case, pooled)],
        "workloads": [flat(one) for one in workloads(case, pooled)],
        "stations": [
            {"pattern": pattern, "method": m.method, "limited_by": m.rate.limited_by, "station": name}
            | dict(zip(LOSSES, shares, strict=True))
            for pattern, closer in found.closer.items()
            for m in closer.methods
            for name, shares in m.run.shares.items()
        ],
        "seconds_saved": [
            {"pattern": pattern, "method": m.method} | flat(second)
            for pattern, closer in found.closer.items()
            for m in closer.methods
            for second in m.seconds
        ],
        "line_gains": [
            {"pattern": pattern, "changes": " + ".join(f"{name} {amount}" for name, amount in gain.parts)} | flat(gain)
            for pattern, closer in found.closer.items()
            for gain in closer.gains
        ],
        "cores_held": [flat(core) for row in found.fits for core in row.cores],
        **({} if money is None else _money(money)),
    }  # fmt: skip


def _named(row: Any) -> Row:
    return {"pattern": row.pattern, "method": row.method}


def _cycles(study: str, one: Any) -> Iterable[Row]:
    columns = zip(one.cycle, one.seconds, one.used, one.odd, strict=True)
    for cycle, seconds, used, odd in columns:
        yield {"study": study, "cycle": int(cycle), "seconds": plain(seconds), "used": bool(used), "odd": bool(odd)}


def _moved(change: Any) -> Row:
    both = (("before", change.before), ("after", change.after))
    return {f"{when}_{end}": plain(getattr(row, end)) for when, row in both for end in ("mean_s", "low_s", "high_s")}


def _points(curve: Any) -> Iterable[Row]:
    for pace, index in zip(curve.molds_per_h, curve.index, strict=True):
        yield {"molds_per_h": plain(pace), "index": plain(index)}


def _money(money: Any) -> dict[str, list[Row]]:
    return {
        "cash_flow_fan": [flat(row) for row in money.fan],
        "payback_curve": [{"years": plain(years), "chance": plain(chance)} for years, chance in money.payback_curve],
        "ways": [flat(row) for row in money.alternatives],
        "sets": [flat(row) for row in money.sets],
        "studies_to_do": [flat(row) for row in money.studies],
        "scenarios": [flat(row) for row in money.scenarios],
        "claims": [flat(row) for row in money.claims],
    }
