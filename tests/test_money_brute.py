"""The best set of patterns against every set of 200 random small plants, valued by the second model in plain loops."""

from dataclasses import replace
from itertools import product

import numpy as np
import plain_cash_flow
import pytest
from plant import SECONDS, plant
from test_money_plain import numbers
from test_money_ways import FULL, exactly, timed

from coreset.case import Range
from coreset.money import pattern_choice
from coreset.money.base_case import base_case
from coreset.money.pattern_choice import best_mix
from coreset.money.simulation_inputs import draw
from coreset.money.year_plan import plan, ways

LIMITS = ("budget", "line_hours", "mask_places", "setter_hours", "cores_taken", "lifting")
SEARCHED = pattern_choice.SEARCHED
PLANTS, DEFAULT, YEARS = 200, 15, 4
LIKE = tuple(code for code, method in SECONDS if method == "manual")


def random_plant(rng):
    """Three to five patterns of random volume, margin, mask cost and times; some fill the line, some are taxed."""
    count = int(rng.integers(3, 6))
    like = exactly(plant(line=replace(FULL, days_per_year=int(rng.integers(120, 301)))))
    patterns = tuple(
        replace(
            like.patterns[k % len(like.patterns)],
            pattern=f"P{k}",
            molds_per_year=Range.exactly(float(rng.uniform(5e3, 6e4))),
            mask_cost=Range.exactly(float(rng.uniform(3e3, 5e4))),
            margin_per_casting=Range.exactly(float(rng.uniform(1, 8))),
            extra_molds_per_year=Range.exactly(float(rng.choice([0, 4_000]))),
        )
        for k in range(count)
    )
    seconds = {}
    for k in range(count):
        by_hand = SECONDS[LIKE[k % len(LIKE)], "manual"] * rng.uniform(0.8, 1.2)
        seconds[f"P{k}", "manual"] = by_hand
        seconds[f"P{k}", "core setter"] = by_hand * rng.uniform(0.5, 0.95)
    money = replace(
        like.money,
        setter_price=Range.exactly(float(rng.uniform(3e4, 2e5))),
        years=YEARS,
        spare_masks=int(rng.integers(0, 2)),
        overtime_limit_h_per_year=float(rng.choice([0, 400])),
        tax_rate=float(rng.choice([0, 0.25])),
    )
    return replace(like, patterns=patterns, money=money), timed(seconds)


class Plant:
    """One plant with its limits: what the choice takes, and the same as plain numbers."""

    def __init__(self, case, known):
        self.case, self.facts = case, plan(case, known)
        self.sample = draw(case, known, (), draws=2, seed=1).centre()
        self.way = ways(case, known)[0]
        self.given = None

    def sets(self):
        """Worth, first cost, hours of the line and of the setter of every set but the empty one, by the plain model."""
        count = len(self.facts.patterns)
        every = np.ones((count, 1))
        base = base_case(self.sample, self.facts, self.way, self.case.money, every)
        given, found = numbers(base), {}
        for inside in product((0.0, 1.0), repeat=count):
            if any(inside):
                given["moved"] = list(inside)
                flow, _ = plain_cash_flow.cash_flow(given, YEARS, self.facts.patterns)
                codes = tuple(c for c, x in zip(self.facts.patterns, inside, strict=True) if x)
                worth = plain_cash_flow.worth(self.case.money.discount_rate, flow)
                found[codes] = worth, -flow[0], *hours_of(given)
        return found

    def allowed(self, sets):
        """Sets that keep every limit."""
        money, facts = self.case.money, self.facts
        out = self.way.unable | self.way.beyond
        hours, places = facts.hours_available + facts.overtime_h, money.mask_places
        return {
            codes: worth
            for codes, (worth, cost, used, setter) in sets.items()
            if (money.budget is None or cost <= money.budget * (1 + 1e-9))
            and used <= hours * (1 + 1e-9)
            and (money.setter_hours_limit is None or setter <= money.setter_hours_limit * (1 + 1e-9))
            and (places is None or len(codes) * (1 + money.spare_masks) <= places)
            and not out & set(codes)
        }


def hours_of(given):
    """Line hours of the full volume, hours of the setter and its mask changes, each of the fullest year."""
    many = range(len(given["moved"]))
    pay = given["wage_per_h"] * given["employer_factor"]
    crew = given["line_crew"] + given["operators_today"]
    years = [plain_cash_flow._year(given, t, many, pay, crew) for t in range(1, YEARS + 1)]
    return max(y.method for y in years), max(y.setter_hours + y.made * y.changes for y in years)


def bound(found, limit, best, sets):
    """The plant with one limit set so that its best set just breaks it."""
    case, cost, hours = found.case, sets[best][1], sets[best][2]
    if limit == "budget":
        found.case = replace(case, money=replace(case.money, budget=cost - 1.0))
    elif limit == "mask_places":
        places = len(best) * (1 + case.money.spare_masks) - 1
        found.case = replace(case, money=replace(case.money, mask_places=places))
    elif limit == "setter_hours":
        found.case = replace(case, money=replace(case.money, setter_hours_limit=sets[best][3] - 0.01))
    elif limit == "line_hours":
        missing = found.facts.hours_available + found.facts.overtime_h - hours + 1.0
        other = found.facts.stated["other_line_hours_per_year"] + missing
        found.facts = found.facts.changed(other_line_hours_per_year=other)
    else:
        side = "unable" if limit == "cores_taken" else "beyond"
        found.way = replace(found.way, **{side: frozenset({best[0]})})
    return found


def judged(seed, limit, monkeypatch):
    """One plant: the chosen set is of the highest worth of those allowed; the limit keeps the free best one out."""
    found = Plant(*random_plant(np.random.default_rng([seed, LIMITS.index(limit)])))
    free = found.sets()
    best = max(allowed, key=allowed.get) if (allowed := found.allowed(free)) else max(free, key=lambda c: free[c][0])
    found = bound(found, limit, best, free)
    sets = found.sets()
    able = found.allowed(sets)
    assert best not in able, "the limit binds"
    for searched in (SEARCHED, 1):
        monkeypatch.setattr(pattern_choice, "SEARCHED", searched)
        got = best_mix(found.sample, found.facts, found.way, found.case.money)
        codes = tuple(c for c, x in zip(found.facts.patterns, got.chosen[:, 0], strict=True) if x)
        assert bool(got.needs) is not bool(able)
        if able:
            assert able.get(codes) == max(able.values()), (searched, codes, able)
            assert got.sets[0].npv == pytest.approx(able[codes], rel=1e-9, abs=1e-3)
    return bool(able)


@pytest.mark.parametrize("limit", LIMITS)
def test_the_best_set_is_that_of_every_set_tried(limit, monkeypatch):
    """Three plants for each limit: exactly the worth of the best set, by search and by program."""
    assert sum(judged(seed, limit, monkeypatch) for seed in range(DEFAULT // len(LIMITS))) > 0


@pytest.mark.slow
@pytest.mark.parametrize("limit", LIMITS)
def test_the_best_set_of_two_hundred_plants(limit, monkeypatch):
    """Forty plants for each limit; in most of them another set is left."""
    left = [judged(seed, limit, monkeypatch) for seed in range(PLANTS // len(LIMITS))]
    assert sum(left) > len(left) / 4
