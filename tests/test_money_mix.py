"""The choice of patterns against every set tried one by one: limits at their edge, forced ones, exchanges, adds."""

from dataclasses import replace
from itertools import combinations, product

import numpy as np
import pytest
from money_year import with_hours
from plant import SECONDS, plant, rates
from test_money_ways import FULL, exactly, timed

from coreset.case import Range
from coreset.money import pattern_choice
from coreset.money.cash_flow import cash_flow
from coreset.money.discount import npv
from coreset.money.pattern_choice import best_mix
from coreset.money.simulation_inputs import draw
from coreset.money.year_plan import plan, ways

CODES = ("HUB", "BOX", "CAP", "JOB")


def bench(known=None, *, draws=3, change_min=12, way=0, case=None, **money):
    """Sample, plan, way and money; figures known and the sums of sets straight lines unless draws are given."""
    case = case or (exactly(plant(line=FULL)) if known is None else plant(line=FULL))
    case = replace(
        case,
        money=replace(
            case.money, **{"ramp_up_molds": 0.0, "mask_life_molds": 0.0, "overtime_limit_h_per_year": 1e6, **money}
        ),
    )
    case = replace(case, setter=replace(case.setter, mask_change_min=change_min))
    known = timed(SECONDS) if known is None else known
    sample, facts = draw(case, known, (), draws=draws, seed=1), plan(case, known)
    return sample, facts, ways(case, known)[way], case.money


def one(sample, facts, way, money, codes):
    """Mean worth, first cost and line hours of one set, by itself."""
    chosen = np.array([[float(code in codes)] for code in facts.patterns])
    flow = cash_flow(sample, facts, way, money, chosen)
    return float(npv(flow.total, money.discount_rate).mean()), flow.first_cost.mean(), flow.line_hours.mean()


def every(sample, facts, way, money):
    """All sets but the empty one, with what each is worth and takes."""
    found = [tuple(c for c, inside in zip(facts.patterns, row, strict=True) if inside)
             for row in product((0, 1), repeat=len(facts.patterns)) if any(row)]  # fmt: skip
    return {codes: one(sample, facts, way, money, codes) for codes in found}


def best(sets, allowed=lambda codes, cost, hours: True):
    """The set worth most of those allowed."""
    return max((c for c, (_, cost, hours) in sets.items() if allowed(c, cost, hours)), key=lambda c: sets[c][0])


def of(facts, found):
    """Codes of the chosen set."""
    return tuple(c for c, inside in zip(facts.patterns, found.chosen[:, 0], strict=True) if inside)


def test_the_best_sets_are_those_of_trying_each():
    """Five best of fifteen sets, in order, with worth, first cost and hours; none is missed."""
    given = bench()
    found, sets = best_mix(*given), every(*given)
    ranked = sorted(sets, key=lambda codes: -sets[codes][0])[:5]
    assert [row.patterns for row in found.sets] == ranked and of(given[1], found) == ranked[0]
    for row in found.sets:
        assert (row.npv, row.first_cost, row.line_hours) == pytest.approx(sets[row.patterns])
    assert (found.how, found.needs, found.unproved) == ("search", (), 0.0)


@pytest.mark.parametrize("wage", [23.0, 1.0])
def test_a_set_is_never_empty_and_may_be_of_one(wage):
    """At a wage at which no set pays the one that loses least is named, of a single pattern."""
    given = bench(wage_per_h=Range.exactly(wage))
    found, sets = best_mix(*given), every(*given)
    assert of(given[1], found) == best(sets)
    if wage == 1.0:
        assert len(of(given[1], found)) == 1 and found.sets[0].npv < 0 and not found.needs
    alone = bench(wage_per_h=Range.exactly(wage), mask_places=1)
    assert of(alone[1], best_mix(*alone)) == best(sets, lambda codes, *_: len(codes) == 1)


@pytest.mark.parametrize(("share", "fits"), [(1.0, True), (1 - 1e-6, False), (0.9, False), (0.6, False)])
def test_a_limit_that_is_just_met_is_kept(share, fits):
    """Budget or hours of just what the best set takes, or a millionth less: it is kept, or the best that fits is."""
    sample, facts, way, money = given = bench(overtime_premium=0.0)
    sets = every(*given)
    free = best(sets)
    _, cost, hours = sets[free]
    for limited in (
        (sample, facts, way, replace(money, budget=cost * share)),
        (sample, with_hours(facts, hours * share).changed(overtime_limit_h_per_year=0.0), way, money),
    ):
        budget, available = limited[3].budget or np.inf, limited[1].hours_available
        wanted = [c for c in sets if sets[c][1] <= budget * (1 + 1e-12) and sets[c][2] <= available * (1 + 1e-12)]
        found = best_mix(*limited)
        assert bool(found.needs) is (not wanted)
        if wanted:
            assert of(facts, found) == best(sets, lambda c, *_, w=wanted: c in w)
            assert (of(facts, found) == free) is fits
        else:
            need = found.needs[0]
            assert (need.limit, need.has) == ("budget", budget) if limited[3].budget else ("line_hours", available)
            place = 1 if limited[3].budget else 2
            assert need.least == pytest.approx(min(each[place] for each in sets.values()))


def test_places_hold_the_spares_too_and_a_rack_needs_none():
    """Two masks a pattern: four places hold two patterns, three hold one. A rack is not kept from any pattern."""
    for places, count in ((4, 2), (3, 1), (None, None)):
        given = bench(mask_places=places, spare_masks=1, wage_per_h=Range.exactly(60.0))
        sets = every(*given)
        found = best_mix(*given)
        assert of(given[1], found) == best(sets, lambda c, *_, n=count: n is None or len(c) <= n)
        assert not found.needs
    known = timed(SECONDS | {(code, "hand and rack"): SECONDS[code, "manual"] - 3 for code in CODES})
    given = bench(known, way=1, mask_places=1)
    assert given[2].method == "hand and rack" and of(given[1], best_mix(*given)) == CODES


def test_forced_patterns_are_in_whether_the_rest_fits_or_not(monkeypatch):
    """CAP forced: the best set with it. CAP and JOB forced into one place: the best with both, told as broken."""
    given, tight = bench(), bench(mask_places=1)
    sets = every(*given)
    for searched in (16, 0):
        monkeypatch.setattr(pattern_choice, "SEARCHED", searched)
        found = best_mix(*given, ("CAP",))
        assert of(given[1], found) == best(sets, lambda c, *_: "CAP" in c) and found.forced == ("CAP",)
        broken = best_mix(*tight, ("CAP", "JOB"))
        assert broken.needs and not found.needs
        assert of(given[1], broken) == ("CAP", "JOB") and len(broken.sets) == 1
        assert [(need.limit, need.least, need.has) for need in broken.needs] == [("mask_places", 2.0, 1.0)]
    poor = bench(budget=1.0, wage_per_h=Range.exactly(1.0))
    monkeypatch.setattr(pattern_choice, "SEARCHED", 4)
    found = best_mix(*poor)
    cheapest = min(every(*poor).items(), key=lambda each: (round(each[1][1], 6), -each[1][0]))
    assert found.how == "search" and found.needs and of(poor[1], found) == cheapest[0]
    assert [(need.limit, need.has) for need in found.needs] == [("budget", 1.0)]
    assert found.needs[0].least == pytest.approx(cheapest[1][1])


def test_worth_and_adds_are_means_over_the_draws(monkeypatch):
    """60 draws of uncertain figures: each set's mean worth, and what each pattern adds, set by set on the same draws.

    The draws spent on what patterns add are cells over patterns squared: 16 x 300 cells are 300 draws of 400.
    """
    for draws, counted in ((60, 60), (400, 300)):
        given = bench(rates(draws=200, error=0.05), draws=draws)
        monkeypatch.setattr(pattern_choice, "ADD_CELLS", 16 * 300)
        found = best_mix(*given)
        chosen = set(of(given[1], found))
        for row in found.sets:
            assert row.npv == pytest.approx(one(*given, row.patterns)[0])
        assert [row.npv for row in found.sets] == sorted((row.npv for row in found.sets), reverse=True)
        part = (given[0].rows(0, counted), *given[1:])
        for code in CODES:
            adds = one(*part, chosen | {code})[0] - one(*part, chosen - {code})[0]
            assert found.worth[code] == pytest.approx(adds)
        assert found.last_in == min(chosen, key=found.worth.get)
        assert found.first_out == max(set(CODES) - chosen, key=found.worth.get)


def scaled(count, seed, **money):
    """Six or more patterns of random volume whose worths add up: no change time, so none bears on another."""
    rng, like = np.random.default_rng(seed), exactly(plant(line=FULL))
    patterns = tuple(
        replace(
            like.patterns[k % 4], pattern=f"P{k}", molds_per_year=Range.exactly(rng.uniform(5e3, 5e4)),
            mask_cost=Range.exactly(rng.uniform(5e3, 6e4)),
        )
        for k in range(count)
    )  # fmt: skip
    seconds = {(f"P{k}", m): SECONDS[CODES[k % 4], m] for k in range(count) for m in ("manual", "core setter")}
    case = replace(like, patterns=patterns)
    return bench(timed(seconds), case=case, change_min=0, overtime_premium=0.0, **money)


def scales(given, forced=()):
    """As the choice hands them to the program."""
    sample, facts, way, money = given
    rows = list(range(len(facts.patterns)))
    return pattern_choice._Scales(
        centre=sample.centre(), plan=facts, way=way, money=money, rows=rows, forced=list(forced)
    )


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("limit", ["none", "budget", "hours", "places"])
def test_the_program_finds_the_best_of_all_sets(seed, limit):
    """Six patterns whose worths add up: the program's set is the best of those that keep the limit, forced ones in."""
    sample, facts, way, money = given = scaled(6, seed)
    sets = every(*given)
    hours = float(np.median([each[2] for each in sets.values()]))
    costs = sorted(cost for _, cost, _ in sets.values())
    bounds = {"budget": costs[len(costs) // 3], "hours": hours, "places": 3, "none": None}
    money = replace(money, budget=costs[len(costs) // 3]) if limit == "budget" else money
    money = replace(money, mask_places=bounds["places"]) if limit == "places" else money
    facts = with_hours(facts, hours).changed(overtime_limit_h_per_year=0.0) if limit == "hours" else facts

    def allowed(codes, cost, used):
        taken = {"budget": cost, "hours": used, "places": len(codes), "none": None}[limit]
        return "P0" in codes and (taken is None or taken <= bounds[limit])

    chosen, unproved = pattern_choice._program(scales((sample, facts, way, money), forced=[0]))
    assert tuple(c for c, inside in zip(facts.patterns, chosen, strict=True) if inside) == best(sets, allowed)
    assert unproved == 0.0


@pytest.mark.parametrize("limit", ["none", "budget", "hours"])
def test_exchanges_of_two_are_those_that_promise_most(limit, monkeypatch):
    """The set itself, each pattern turned, and the three of the fitting pairs that are worth most, tried one by one."""
    monkeypatch.setattr(pattern_choice, "PAIRS", 3)
    sample, facts, way, money = scaled(7, 5)
    now = np.array([1.0, 0, 1, 0, 0, 1, 0])

    def turned(*places):
        column = now.copy()
        column[list(places)] = 1 - column[list(places)]
        return column

    def weighed(column, facts=facts):
        return one(sample, facts, way, money, [c for c, inside in zip(facts.patterns, column, strict=True) if inside])

    pairs = {pair: weighed(turned(*pair)) for pair in combinations(range(7), 2)}
    middle = {k: np.median([each[k] for each in pairs.values()]) * (1 + 1e-9) for k in (1, 2)}
    money = replace(money, budget=middle[1]) if limit == "budget" else money
    facts = with_hours(facts, middle[2]).changed(overtime_limit_h_per_year=0.0) if limit == "hours" else facts
    pairs = {pair: weighed(turned(*pair), facts) for pair in pairs}
    kept = [
        p
        for p in pairs
        if pairs[p][1] <= (money.budget or np.inf) and pairs[p][2] <= facts.hours_available + facts.overtime_h
    ]
    assert (len(kept) < len(pairs)) is (limit != "none")
    top = sorted(kept, key=lambda pair: -pairs[pair][0])[:3]
    wanted = [now, *(turned(k) for k in range(7)), *(turned(*pair) for pair in top)]
    found = pattern_choice._exchanges(scales((sample, facts, way, money)), now)
    assert found.T.tolist() == [column.tolist() for column in wanted]


@pytest.mark.parametrize("seed", range(3))
def test_exchanges_go_on_until_none_helps(seed, monkeypatch):
    """From the poorest set, one pattern turned at a time: the best set is reached where worths add up."""
    given = scaled(6, seed)
    sets = every(*given)
    poorest = min(sets, key=lambda codes: sets[codes][0])
    first = np.array([code in poorest for code in given[1].patterns])
    monkeypatch.setattr(pattern_choice, "PAIRS", 0)
    monkeypatch.setattr(pattern_choice, "_program", lambda scales: (first, 7.0))
    found, unproved = pattern_choice._programmed(scales(given))
    assert tuple(c for c, inside in zip(given[1].patterns, found[:, 0], strict=True) if inside) == best(sets)
    assert unproved == 7.0
