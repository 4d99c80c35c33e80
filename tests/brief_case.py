"""A whole assessment for tests of the brief: the invented plant weighed for real, with stand-ins before the money."""

from functools import cache
from types import SimpleNamespace

import numpy as np
import plant

from coreset.case import Lift
from coreset.decision.verdict import decide
from coreset.lifting.job_status import job_statuses
from coreset.lifting.screen import screen
from coreset.money.evaluate import weigh

STEPS = {
    "manual": (("machine", "close and strip", 14.0, 9.0), ("operator", "set cores by hand", 22.0, 11.0)),
    "core setter": (("operator", "load the mask", 19.0, 8.0), ("setter", "turn and lower", 8.0, 20.0)),
}


class Given(SimpleNamespace):
    """In place of an assessment: what it was given, and the verdict that follows."""

    day = ""
    line = ()

    @property
    def verdict(self):
        """The verdict, as every output says it."""
        return decide(self)


def lifts():
    """Two tasks a method on the box pattern."""
    ends = {"horizontal_origin": 45.0, "vertical_origin": 75.0, "vertical_destination": 60.0}
    return (
        Lift(task="core into drag", method="manual", pattern="BOX", core="1", lifts_per_mold=2,
             horizontal_destination=62.0, **ends),
        Lift(task="core into mask", method="core setter", pattern="BOX", core="1", lifts_per_mold=2,
             horizontal_destination=38.0, **ends),
    )  # fmt: skip


def standards():
    """Standard times with intervals and draws."""
    rng = np.random.default_rng(5)
    return tuple(
        SimpleNamespace(
            study=f"{p}-{m[0].upper()}1", pattern=p, method=m, cycles=45, observed_s=s * 0.82, normal_s=s * 0.86,
            standard_s=s, standard_low_s=s * 0.97, standard_high_s=s * 1.03, allowance_pct=16.0,
            allowance_basis="normal", unaccounted_pct=0.7, elements=(), warnings=(), estimated=False,
            rater_sd_pct=2.5, element_draws_s={},
            draws_s=s * rng.normal(1, 0.015, 500),
        )
        for (p, m), s in plant.SECONDS.items()
    )  # fmt: skip


@cache
def assessment(draws=4_000, **money):
    """Case, standards, cycles, screen, line, money; `money` are other values of its prices and limits."""
    case = plant.plant(lifts=lifts(), invented=True, date="2026-11-25", plant="OB1", money=plant.money(**money))
    found, cycles, rates = standards(), plant.mold_cycles(), plant.rates()
    for row in cycles:
        row.deterministic_s, row.critical, row.waits_for = row.mean_s * 0.97, ("set cores",), {}
        row.shares = {who: (a, b) for who, _, a, b in STEPS[row.method]}
    for row in rates:
        row.low, row.high, row.limited_by = row.molds_per_h * 0.95, row.molds_per_h * 1.05, "molding"
    tasks = screen(case, found)
    money = weigh(case, found, cycles, rates, tasks, draws=draws)
    pooled = {(row.pattern, row.method): row for row in found}
    return Given(
        case=case, standards=found, pooled=pooled, mold_cycles=cycles, handling=tasks, line=rates, money=money,
        jobs=job_statuses(case, found, tasks), seed=case.seed, warnings=(), register=(),
        counting=found, today=None, bridges=(),
    )  # fmt: skip
