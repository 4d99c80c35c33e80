"""A small invented plant for tests of the money, with stand-ins for what the rooms before it hand over."""

from dataclasses import replace
from functools import partial
from types import SimpleNamespace

import numpy as np
from screened_rows import row as rated

from coreset.case import Case, Core, Line, Method, Money, Pattern, Range, Setter

SECONDS = {
    ("HUB", "manual"): 41.0,
    ("HUB", "core setter"): 30.0,
    ("BOX", "manual"): 62.0,
    ("BOX", "core setter"): 36.0,
    ("CAP", "manual"): 24.0,
    ("CAP", "core setter"): 23.5,
    ("JOB", "manual"): 48.0,
    ("JOB", "core setter"): 33.0,
}
VOLUME = {"HUB": 60_000, "BOX": 40_000, "CAP": 50_000, "JOB": 1_500}
RUNS = {"HUB": 60, "BOX": 60, "CAP": 50, "JOB": 40}


def around(value, share=0.2):
    """A range with equal steps down and up."""
    return Range(low=value * (1 - share), likely=value, high=value * (1 + share), source="invented")


def money(**changes):
    """Prices, all of them ranges."""
    facts = {
        "setter_price": Range(low=150_000, likely=170_000, high=210_000),
        "installation": around(25_000),
        "training": around(6_000),
        "mask_cost": around(9_000),
        "mask_life_molds": 150_000,
        "mask_repair_per_year": around(600),
        "maintenance_per_year": around(7_000),
        "wage_per_h": around(23, 0.05),
        "employer_factor": around(1.42, 0.03),
        "line_crew": Range.exactly(2.0),
        "hours_saved_paid": Range.exactly(1.0),
        "air_per_m3": around(0.02),
        "electricity_per_kwh": around(0.08),
        "floor_space_per_year": around(800),
        "residual": around(15_000, 0.5),
        "years": 10,
        "discount_rate": 0.10,
        "wage_inflation": 0.03,
        "energy_inflation": 0.02,
        "price_inflation": 0.02,
        "ramp_up_molds": 4_000,
        "ramp_up_start": 1.5,
        "study_cost_per_cycle": 6,
        "volume_quote_cost": 800,
        "vacuum_trial_cost": 2_500,
    }
    return Money(**{**facts, **changes})


def plant(**changes):
    """The case; keywords of `Money` come as money=..."""
    patterns = tuple(
        Pattern(
            pattern=code,
            molds_per_year=around(VOLUME[code], 0.15),
            runs_per_year=RUNS[code],
            castings_per_mold=2,
            margin_per_casting=around(4.0, 0.25),
            extra_molds_per_year=around(2_000, 0.5) if code == "BOX" else Range.exactly(0.0),
            cost_per_scrapped_casting=9.0,
        )
        for code in VOLUME
    )
    facts = {
        "title": "Invented plant",
        "units": "metric",
        "currency": "USD",
        "money": money(),
        "line": Line(shifts_per_day=1.0, days_per_year=230, hours_per_shift=8, saved_hours_used=True),
        "setter": Setter(mask_change_min=12, downtime_share=0.03, air_l_per_cycle=90, power_kw=4),
        "methods": (
            Method(method="manual", operators=1, steps=()),
            Method(method="core setter", operators=1, mechanised=True, steps=()),
            Method(method="hand and rack", operators=1, step_cost=4_000, steps=()),
        ),
        "patterns": patterns,
        "cores": tuple(Core(pattern=code, core="1", per_mold=2, mass=4.0) for code in VOLUME),
    }
    return Case(**{**facts, **changes})


def _at(seconds, times):
    """Molds an hour if the mold cycle were so many times as long."""
    return 3600 / (seconds * times)


def rates(seconds=None, *, draws=1_000, error=0.02, seed=3):
    """Molds an hour with draws of their mean."""
    rng = np.random.default_rng(seed)
    return tuple(
        SimpleNamespace(
            pattern=p,
            method=m,
            molds_per_h=3600 / s,
            draws=3600 / (s * rng.normal(1, error, draws)),
            at=partial(_at, s),
        )
        for (p, m), s in (seconds or SECONDS).items()
    )


def standards(cycles=40):
    """Cycles timed by pattern and method."""
    return tuple(SimpleNamespace(pattern=p, method=m, cycles=cycles) for p, m in SECONDS)


def mold_cycles(error=0.02):
    """Mold cycles with draws of their mean."""
    rng = np.random.default_rng(4)
    found = []
    for (p, m), s in SECONDS.items():
        d = s * rng.normal(1, error, 1_000)
        found.append(
            SimpleNamespace(
                pattern=p,
                method=m,
                mean_s=s,
                low_s=s * 0.96,
                high_s=s * 1.04,
                p90_s=s * 1.2,
                draws_s=d,
                sample_s=np.array([s]),
            )
        )
    return tuple(found)


def screened(manual=1.8, assisted=0.8, rack=0.9):
    """Lifting indices, one task a pattern and method."""
    li = {"manual": manual, "core setter": assisted, "hand and rack": rack}
    return tuple(rated(p, m, v) for p in VOLUME for m, v in li.items())


def parts(case=None, **money_changes):
    """All arguments of `weigh`."""
    case = case or plant()
    if money_changes:
        case = replace(case, money=replace(case.money, **money_changes))
    return case, standards(), mold_cycles(), rates(), screened()
