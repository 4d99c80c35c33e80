"""The working of what stands beside the decision: other ways, other volumes, the vendor's claim, single inputs."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import accumulate

import numpy as np
from numpy.typing import NDArray

from coreset.money.alternatives import Alternative, Scenario
from coreset.money.decision import Decision
from coreset.money.report.names import input_name
from coreset.money.report.sentences import way_name
from coreset.money.report.working import discounted, interpolated
from coreset.money.simulation_inputs import HIGH, LOW
from coreset.report.numbers import number
from coreset.report.run_working import counted, mean_of, nth, seeded
from coreset.rounding import fixed
from coreset.sources import used
from coreset.text import say
from coreset.working import Working


def beside(d: Decision) -> list[Working]:
    """All of them."""
    return [*ways(d), *volumes(d), *claims(d), *inputs(d)]


def ways(d: Decision) -> list[Working]:
    """Each way against the current method, on the draws of the decision."""
    found = zip(d.alternatives, d.worth_draws.T[1:], strict=True)
    return [line for row, draws in found for line in _choice(d, way_name(row.name), draws, row)]


def volumes(d: Decision) -> list[Working]:
    """The same purchase under other volumes, on the first of the draws."""
    found = ((f"{say(f'money.scenario.{row.name}')} × {fixed(row.volume, 1)}", row) for row in d.scenarios)
    return [line for name, row in found for line in _choice(d, name, row.draws, row)]


def _choice(d: Decision, name: str, draws: NDArray[np.float64], row: Alternative | Scenario) -> Iterator[Working]:
    drawn = {"unit": d.currency, "where": seeded(d.seed)}
    yield mean_of(_of(name, "npv"), "ΣNPV / n", draws, **drawn)
    yield nth(_of(name, "npv_low"), draws, LOW, **drawn)
    yield nth(_of(name, "npv_high"), draws, HIGH, **drawn)
    yield counted(_of(name, "chance"), "n(NPV > 0) / n", draws > 0, where=drawn["where"])
    yield discounted(_of(name, "base"), row.flow, row.base_npv, d)
    back = interpolated(_of(name, "payback"), list(accumulate(row.flow)), row.payback_years)
    if back is not None:
        yield back


def _of(name: str, what: str) -> str:
    return f"{name}: {say(f'money.working.beside.{what}')}"


def inputs(d: Decision) -> list[Working]:
    """Each input: the share that it has in the uncertainty, and what knowing it would be worth where that is told."""
    worth = {row.name: row for row in d.knowing}
    found = []
    for row in d.drivers:
        name = input_name(row.name)
        if math.isfinite(row.total_order) and row.variance:
            numbers = f"{number(math.sqrt(row.moved))}² / (2 · {number(math.sqrt(row.variance))}²)"
            found.append(
                Working(
                    what=_of(name, "share"),
                    formula="q² / (2 s²)",
                    numbers=numbers,
                    value=row.total_order,
                    where=seeded(d.seed),
                    **used("jansen1999", "SENS-total"),
                )
            )
        known = worth.get(row.name)
        if known is not None and known.above_noise:
            found.append(
                Working(
                    what=_of(name, "known"),
                    formula=say("money.working.beside.known_formula"),
                    numbers=f"{number(known.of_each_draw)} − {number(known.on_the_mean)}",
                    value=known.worth,
                    unit=d.currency,
                    where=seeded(d.seed),
                    **used("strong2014", "INFO-regress"),
                )
            )
    return found


def claims(d: Decision) -> list[Working]:
    """The chance that the vendor's cycle holds: how many resampled means are no longer."""
    return [
        counted(
            f"{row.pattern}: {say('money.working.beside.claim', seconds=fixed(row.claimed_s, 1))}",
            f"n(t ≤ {fixed(row.claimed_s, 1)}) / n",
            row.draws <= row.claimed_s,
            where=seeded(d.seed),
        )
        for row in d.claims
    ]
