"""Intervals hold the truth as often as they say: plants whose times are known, each studied once over 30 cycles.

A study errs by its cycles, by its observer throughout and in each rating, by its operator and by its day; the run line
by its few replications.
"""

from dataclasses import replace
from functools import cache
from types import SimpleNamespace

import line_kind_cases as kinds
import numpy as np
import plant
import pytest
from study_cases import study
from study_truth import ONE_SD, RATER_SD, Plant

from coreset.case import Element, Line, Stop
from coreset.line.bridge import bridges
from coreset.line.line_pace import LinePace
from coreset.line.mold_cycle import mold_cycles
from coreset.line.rates import rates
from coreset.study.pooling import by_pattern, standards

HAND = {"make": (20, 0.03), "load": (9, 0.25), "set": (15, 0.3), "clear": (4, 0.2), "close": (6, 0.02)}
MASK = {"make": (20, 0.03), "load": (17, 0.25), "set": (8, 0.1), "clear": (3, 0.2), "close": (6, 0.02)}
MACHINE = {"make", "close"}
SHORT = {"mold_positions": 4, "cooling_places": 4, "shakeout_s": 5.0}
STOPS = (Stop(cause="plate", station="molding", every_min=20.0, lasts_min=1.0),)
SCENARIOS = {
    "row": (Line(pouring_s=15.0, pouring_cv=0.2, other_stops_pct=5.0, **SHORT), kinds.PLATE, kinds.PLATE),
    "row with stops": (Line(pouring_s=15.0, stops=STOPS, **SHORT), kinds.PLATE, kinds.PLATE),
    "pourer near": (Line(pouring_s=36.0, pouring_cv=0.3, **SHORT), kinds.PLATE, kinds.PLATE),
    "index": (Line(kind="indexing line", index_s=5.0, pouring_s=15.0, pouring_cv=0.2, cooling_places=4), kinds.PLATE,
              kinds.PLATE),
}  # fmt: skip
"""Line, and the steps by hand and with the mask; times of steps are the same on each."""
CYCLES, TRUE_CYCLES, DRAWS = 30, 6_000, 1_000
ASSUMED = ", operators and days as assumed"


def cycles_of(method, count, rng):
    """Seconds of each step in so many cycles, each step lognormal about its true mean."""
    rows = {}
    for name, (mean, cv) in (HAND if method == "manual" else MASK).items():
        s = np.sqrt(np.log1p(cv**2))
        rows[name] = mean * rng.lognormal(-(s**2) / 2, s, count)
    return rows


def studied(rng, differing):
    """One study of each method: one observer and one operator, half of whose difference follows him to both.

    Operators and days differ as a `Plant` says; with `as_assumed` by what is drawn for this one.
    """
    found = differing.drawn(rng)
    bias, follows = rng.normal(0, RATER_SD), rng.normal(0, found.operator_sd * np.sqrt(0.5))
    made = []
    for method in ("manual", "core setter"):
        slow = follows + rng.normal(0, found.operator_sd * np.sqrt(0.5)) + rng.normal(0, found.day_sd)
        rows = []
        for name, seconds in cycles_of(method, CYCLES, rng).items():
            if name in MACHINE:
                rows += [(c + 1, name, float(x)) for c, x in enumerate(seconds)]
            else:
                rated = 100 * np.exp(bias + rng.normal(0, ONE_SD, CYCLES))
                times = zip(seconds * np.exp(slow), rated, strict=True)
                rows += [(c + 1, name, float(x), float(r)) for c, (x, r) in enumerate(times)]
        elements = [Element(name=name, kind="machine" if name in MACHINE else "manual") for name in HAND]
        made.append(study(rows, elements, study=method, method=method, pattern="HUB", rater_sd_pct=None))
    return tuple(made)


def true_standard(method, rng):
    """A standard without error: so many cycles that their spread is the true one, set to the true means."""
    rows = cycles_of(method, TRUE_CYCLES, rng)
    means = {name: mean for name, (mean, _) in (HAND if method == "manual" else MASK).items()}
    rows = {name: seconds * means[name] / seconds.mean() for name, seconds in rows.items()}
    return SimpleNamespace(
        study=method, pattern="HUB", method=method, standard_s=float(sum(means.values())), elements=(),
        draws_s=np.full(DRAWS, float(sum(means.values()))), cycle_standard_s=rows,
        element_draws_s={name: np.full(DRAWS, float(mean)) for name, mean in means.items()},
    )  # fmt: skip


def looked_at(scenario, seed, *, replications, true=False):
    """Rates of both methods and the bridge between them, from one study each or from the truth."""
    line, *ways = SCENARIOS[scenario.removesuffix(ASSUMED)]
    methods = tuple(
        replace(way, method=name, steps=tuple(replace(s, constant_s=None, element=s.name) for s in way.steps))
        for way, name in zip(ways, ("manual", "core setter"), strict=True)
    )
    case = plant.plant(form=2, line=line, methods=methods, seed=seed)
    rng = np.random.default_rng(seed)
    case = replace(
        case,
        patterns=case.patterns[:1],
        studies=() if true else studied(rng, Plant(as_assumed=scenario.endswith(ASSUMED))),
    )
    if true:
        timed = {("HUB", m.method): true_standard(m.method, rng) for m in methods}
    else:
        timed = by_pattern(standards(case, resamples=DRAWS, seed=seed))
    found = mold_cycles(case, timed, replications=DRAWS)
    known = rates(case, found, replications=replications)
    return known, bridges(case, timed, found, known)[0]


@cache
def truth(scenario):
    """Rates and saving on the schedule as they are, on many runs of the line."""
    each = [looked_at(scenario, seed, replications=200, true=True) for seed in range(70, 78)]
    saved = [step.saved_s for _, bridge in each for step in bridge.steps if step.step == "schedule"]
    return np.mean([[row.molds_per_h for row in known] for known, _ in each], axis=0), float(np.mean(saved))


def covered(scenario, seeds, *, replications):
    """How often the truth lies within: rate by hand, rate with the mask, saving on the schedule; of how many."""
    found = np.zeros(3, dtype=int)
    real, saved = truth(scenario.removesuffix(ASSUMED))
    for seed in seeds:
        known, bridge = looked_at(scenario, seed, replications=replications)
        step = next(s for s in bridge.steps if s.step == "schedule")
        inside = [row.low <= true <= row.high for row, true in zip(known, real, strict=True)]
        found += [*inside, step.low_s <= saved <= step.high_s]
    return found, len(seeds)


def told(scenario, found, count):
    """One line of the printed coverage."""
    hand, mask, saving = (f"{100 * n / count:.0f} %" for n in found)
    return (
        f"{scenario}: rate by hand {hand}, rate with the mask {mask}, saving on the schedule {saving} of {count} plants"
    )


@pytest.mark.slow
def test_the_error_of_few_replications_is_in_the_intervals():
    """Times without error, 10 replications of a line that stops: of 40 intervals of 95 % at least 33 hold the truth.

    Fewer come about once in 4,000 times. Common numbers leave less of the error in the saving than in the rates.
    """
    real, saved = truth("row with stops")
    known = [looked_at("row with stops", seed, replications=10, true=True) for seed in range(500, 520)]
    inside = [row.low <= true <= row.high for rows, _ in known for row, true in zip(rows, real, strict=True)]
    print(f"rates of a line known but for its 10 replications: {np.mean(inside):.0%} of {len(inside)}")
    assert sum(inside) >= 33 and all(row.low < row.molds_per_h < row.high for rows, _ in known for row in rows)
    steps = [next(s for s in bridge.steps if s.step == "schedule") for _, bridge in known]
    assert np.mean([s.high_s - s.low_s for s in steps]) < np.mean(
        [3600 / rows[0].low - 3600 / rows[0].high for rows, _ in known]
    )
    assert sum(s.low_s <= saved <= s.high_s for s in steps) >= 15


def test_one_replication_shows_no_error():
    """A single run has nothing to judge its error by: the draws stay as they are."""
    facts = {"mold_s": np.ones(1), "change_s": (), "slowest_s": 1.0, "bare_s": 1.0, "limited_by": "", "mold_cv": 0.0}
    assert (LinePace(**facts, deviation=np.zeros(1)).simulation_error(5, 1) == 1.0).all()


@pytest.mark.slow
def test_a_few_plants_lie_within_their_intervals():
    """20 plants on the rows: of 60 intervals of 95 % at least 50 hold the truth (fewer: one chance in 10,000)."""
    total, plants = np.zeros(3, dtype=int), {"row": 7, "row with stops": 7, "pourer near": 6}
    for place, (scenario, count) in enumerate(plants.items()):
        found, count = covered(scenario, range(1_000 * place, 1_000 * place + count), replications=10)
        print(told(scenario, found, count))
        total += found
    assert total.sum() >= 50


@pytest.mark.slow
@pytest.mark.parametrize(
    "place",
    [0, *(pytest.param(place, marks=pytest.mark.long) for place in range(1, len(SCENARIOS)))],
    ids=SCENARIOS,
)
def test_two_hundred_plants_lie_within_their_intervals(place):
    """200 plants, 50 a scenario: each of three intervals holds the truth for 41 or more (at 93 %, one in 250 fails)."""
    scenario = tuple(SCENARIOS)[place]
    found, count = covered(scenario, range(10_000 * (place + 1), 10_000 * (place + 1) + 50), replications=50)
    print(told(scenario, found, count))
    assert (found >= 41).all(), told(scenario, found, count)


@pytest.mark.slow
@pytest.mark.parametrize("scenario", ["row", "pourer near"])
def test_plants_that_differ_as_assumed_lie_within_as_often_as_is_said(scenario):
    """100 plants whose operators and days differ as is taken for likely: the intervals are not too wide either.

    By chance alone a sound interval of 95 % holds fewer than 89 or all 100 of them once in 100 times each. Above 95 in
    the other scenarios is that differences of 5 % are the middle of what is likely, 8 % and more not excluded.
    """
    found, count = covered(scenario + ASSUMED, range(70_000, 70_100), replications=50)
    print(told(scenario + ASSUMED, found, count))
    assert (found >= 89).all() and (found < 100).all(), told(scenario, found, count)
