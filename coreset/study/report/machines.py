"""One operator and several machines alike, in words, rows and working; the published examples beside."""

from __future__ import annotations

import math
from typing import Any

from coreset.case import Case
from coreset.rounding import fixed
from coreset.sources import table, used
from coreset.study.machines import busy, cheapest, ideal, tended
from coreset.study.standard import Standard
from coreset.text import say
from coreset.units import MIN_PER_H, S_PER_MIN
from coreset.working import Working

LEAST = {"load": 0.001}
"""Least of what may be entered, where 0 would serve machines in no time. [min]"""
MORE = 2
"""Machines shown beyond the number that keeps both busy."""
EXAMPLES = "freivalds/worker_machine"


def asked(case: Case, row: Standard) -> dict[str, float]:
    """What to begin with: the standard's work by hand as service, its machine time, and the operator's cost an hour."""
    hand = sum(e.standard_s for e in row.elements if e.kind == "manual")
    machine = sum(e.standard_s for e in row.elements if e.kind != "manual")
    wage = case.money.wage_per_h.likely * case.money.employer_factor.likely
    return {
        "load": max(LEAST["load"], hand / S_PER_MIN),
        "machine": machine / S_PER_MIN,
        "away": 0.0,
        "worker": wage,
        "rate": 0.0,
    }


def _given(load: float, machine: float, away: float, worker: float, rate: float) -> dict[str, float]:
    return {"load": load, "machine": machine, "away": away, "worker_rate": worker / MIN_PER_H,
            "machine_rate": rate / MIN_PER_H}  # fmt: skip


def machine_rows(**given: float) -> list[dict[str, str]]:
    """One machine, two and so on: cycle, who waits, how busy both are, what a piece costs."""
    full = _given(**given)
    l_m_w = {name: full[name] for name in ("load", "machine", "away")}
    most = max(1, math.floor(ideal(**l_m_w))) + MORE
    found = []
    for n in range(1, most + 1):
        one, (worker, machine) = tended(n, **full), busy(n, **l_m_w)
        found.append({
            say("study.machines.count"): str(n),
            say("study.machines.cycle"): fixed(one.cycle, 2),
            say("study.machines.pieces"): fixed(MIN_PER_H * n / one.cycle, 1),
            say("study.machines.waits"): say("study.machines.operator" if worker < 1 else "study.machines.machines"),
            say("study.machines.busy"): f"{fixed(100 * worker)} / {fixed(100 * machine)}",
            say("study.machines.cost"): fixed(one.cost, 3),
        })  # fmt: skip
    return found


def sentence(**given: float) -> str:
    """How many machines one operator can serve, and how many make a piece cheapest."""
    full = _given(**given)
    n = ideal(**{name: full[name] for name in ("load", "machine", "away")})
    best = cheapest(**full)
    return say("study.machines.result", ideal=fixed(n, 2), best=best.machines, cost=fixed(best.cost, 3))


def working(load: float, machine: float, away: float, worker: float, rate: float) -> list[Working]:
    """Number that keeps both busy; cycle and cost of a piece on both sides of it.

    Parameters
    ----------
    load, machine, away : float
        Worker and machine together, machine alone, worker away from it. [min]
    worker, rate : float
        Cost of the worker and of one machine. [money per hour]
    """
    full = _given(load, machine, away, worker, rate)
    one, m, w = (fixed(value, 3) for value in (load, machine, away))
    n = ideal(load=load, machine=machine, away=away)
    lines = [
        Working(what=say("study.machines.ideal"), symbol="n′", formula="(l + m)/(l + w)",
                numbers=f"({one} + {m})/({one} + {w})", value=n, **used("freivalds", "TIME-machines"))
    ]  # fmt: skip
    for count in (max(1, math.floor(n)), max(1, math.floor(n)) + 1):
        made = tended(count, **full)
        rates = f"{fixed(worker, 2)} + {count} × {fixed(rate, 2)}"
        fewer = load + machine >= count * (load + away)
        lines += [
            Working(what=say("study.machines.cycle_of", count=count), symbol="T",
                    formula="l + m" if fewer else "n (l + w)",
                    numbers=f"{one} + {m}" if fewer else f"{count} × ({one} + {w})", value=made.cycle, unit="min"),
            Working(what=say("study.machines.cost_of", count=count), formula="T (K₁ + n K₂)/(60 n)",
                    numbers=f"{fixed(made.cycle, 3)} × ({rates})/(60 × {count})",
                    value=made.cost),
        ]  # fmt: skip
    return lines


def examples() -> list[dict[str, str]]:
    """The published examples with what is printed and what comes out here."""
    printed, found = table(EXAMPLES), []
    for row in printed.rows:
        load, run, walk = (float(row[name]) for name in ("load_min", "run_min", "walk_min"))
        full = _given(load, run, walk, float(row["worker_per_h"]), float(row["machine_per_h"]))
        low = int(row["machines_low"])
        ours = [tended(n, **full).cost for n in (low, low + 1)]
        found.append({
            "l, m, w": f"{row['load_min']}, {row['run_min']}, {row['walk_min']}",
            say("study.machines.example_formula"): f"({load:g} + {run:g})/({load:g} + {walk:g})",
            say("study.machines.example_n"): _both(row["n_prime"], fixed(ideal(load=load, machine=run, away=walk), 2)),
            say("study.machines.example_low"): _both(row["cost_low"], fixed(ours[0], 3)),
            say("study.machines.example_high"): _both(row["cost_high"], fixed(ours[1], 3)),
            say("front.column.source"): say(f"front.status.{printed.row_status(row)}"),
        })  # fmt: skip
    return found


def _both(printed: Any, ours: str) -> str:
    return f"{printed or '–'} / {ours}"


def bare_machine() -> list[Working]:
    """The published case of one operator and one machine in turn: allowance on the work by hand only."""
    found = table("stevenson/machine_element")
    return [
        Working(what=say("study.machines.bare"), formula="m + o R (1 + A)",
                numbers=f"{r['machine_min']} + {r['worker_min']} × {float(r['rating_pct']) / 100:g} × "
                        f"(1 + {float(r['allowance_pct']) / 100:g})",
                value=float(r["machine_min"]) + float(r["worker_min"]) * float(r["rating_pct"]) / 100
                * (1 + float(r["allowance_pct"]) / 100),
                unit="min", where="problem 7-7",
                **used("stevenson", "TIME-machine", rows=[found.row_status(r)]))
        for r in found.rows
    ]  # fmt: skip
