"""Ways of setting cores beside one another: what each does to the lifts, and what a year of it is worth."""

import math
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import numpy_financial as npf
import pytest
from plant import money, parts, plant, rates
from screened_rows import row as rated

from coreset.lifting.en_iso import carrying
from coreset.lifting.screened_task import WholeJob
from coreset.money.alternatives import alternative, chosen_for, risk_removed, scenarios, tasks_of, worst_index
from coreset.money.cash_flow import cash_flow
from coreset.money.claims import claims
from coreset.money.discount import npv, payback
from coreset.money.evaluate import weigh
from coreset.money.simulation_inputs import draw
from coreset.money.year_plan import plan, ways


def lift(pattern, method, li, *, applies=True, why_not=()):
    """One task with its lifting index."""
    return rated(pattern, method, li if applies else None, applies=applies, why_not=why_not)


def under(limit):
    """A case with that limit of the lifting index."""
    return plant(money=money(li_limit=limit))


def test_a_lift_that_is_not_allowed_is_beyond_every_limit():
    """A lift whose limit of weight is nothing has no index: infinite; nobody rated is not a number."""
    assert worst_index([lift("HUB", "manual", 0.4), lift("HUB", "manual", None)], "manual") == math.inf
    assert math.isnan(worst_index([lift("HUB", "manual", 3.0, applies=False)], "manual"))


def test_patterns_that_stay_are_set_as_today():
    """HUB goes over, BOX stays: HUB's lifts of the way and BOX's of today, and no others."""
    rows = [lift(pattern, method, 1.0) for pattern in ("HUB", "BOX") for method in ("manual", "core setter")]
    found = tasks_of(plant(), rows, {"HUB": "core setter"})
    assert [row.task for row in found] == ["HUB core setter", "BOX manual"]


HOIST = {"applies": False, "why_not": ("hoist",)}
OTHER = {"applies": False, "why_not": ("one hand",)}


@pytest.mark.parametrize(
    "limit, today, then, removed",
    [
        (1.0, 1.5, [lift("HUB", "core setter", 0.9)], True),
        (1.0, 1.5, [lift("HUB", "core setter", 1.0)], True),  # at the limit is not above it
        (1.0, 1.5, [lift("HUB", "core setter", 1.1)], False),
        (None, 1.5, [lift("HUB", "core setter", 1.1)], False),  # without a limit of the case it is 1
        (2.0, 1.5, [lift("HUB", "core setter", 1.9)], True),
        (1.5, 1.5, [], True),  # at the limit today: nothing to mend
        (1.0, 1.5, [], False),  # what was above it is not rated at all any more
        (1.0, 1.5, [lift("HUB", "core setter", 3.0, **HOIST)], True),  # the hoist bears it
        (1.0, 1.5, [lift("HUB", "core setter", 0.5, **OTHER)], False),  # not rated for another reason
        (1.0, 1.5, [lift("HUB", "core setter", 0.5), lift("HUB", "core setter", 0.5, **OTHER)], False),
    ],
)
def test_a_risk_is_removed_where_nothing_is_above_the_limit_and_all_of_it_is_known(limit, today, then, removed):
    """HUB may be above the limit today, BOX never is; the lifts of the way decide."""
    rows = [lift("HUB", "manual", today), lift("BOX", "manual", 0.5)]
    assert risk_removed(under(limit), rows, [*then, rows[1]]) is removed


@pytest.mark.parametrize(
    "worse",
    [
        {"at_least": ("hot",)},
        {"job": WholeJob(kind="CLI", index=1.6, tasks=2, at_least=())},
        {"job": WholeJob(kind="CLI", index=None, tasks=2, at_least=())},
        {"job": WholeJob(kind="CLI", index=0.9, tasks=2, at_least=("left_out",))},
        {"carrying": carrying(60.0, 3.0, per_min=0.1)},
    ],
    ids=["hot", "job above", "job beyond", "job in part", "carried"],
)
def test_a_risk_stays_where_the_lift_is_not_the_whole(worse):
    """0.8 by itself removes a risk; as a lower limit, as part of a worse job or with a carry it does not."""
    today = [rated("HUB", "manual", 1.5), rated("BOX", "manual", 0.5)]
    assert risk_removed(under(1.0), today, [rated("HUB", "core setter", 0.8), today[1]])
    assert not risk_removed(under(1.0), today, [rated("HUB", "core setter", 0.8, **worse), today[1]])


def test_worth_a_year_is_the_payment_that_is_worth_as_much():
    """numpy-financial's payment of the present value over the same years."""
    case, *others = parts(years=7)
    row = weigh(case, *others, draws=1_000).alternatives[0]
    assert row.equivalent_annual_worth == pytest.approx(npf.pmt(0.10, 7, -row.base_npv))


def test_a_way_that_changes_nothing_is_worth_nothing_and_never_sure():
    """Nobody goes over: no money moves, so no draw is above nothing."""
    case = plant()
    known = rates(draws=200)
    sample, facts, way = draw(case, known, (), draws=200, seed=1), plan(case, known), ways(case, known)[0]
    nobody = np.zeros((len(facts.patterns), 1))
    row = alternative(
        case,
        sample,
        facts,
        way,
        nobody,
        *(cash_flow(each, facts, way, case.money, nobody) for each in (sample, sample.centre())),
        (),
    )
    assert (row.npv.mean, row.first_cost, row.chance_npv_positive, row.patterns) == (0.0, 0.0, 0.0, ())


def test_each_way_takes_the_patterns_that_are_its_own():
    """The candidate takes the best set found for it; a change of method takes every pattern that was timed so."""
    case = plant()
    known = (*rates(draws=200), *rates({("HUB", "hand and rack"): 38.0, ("CAP", "hand and rack"): 23.0}, draws=200))
    sample, facts = draw(case, known, (), draws=200, seed=1), plan(case, known)
    found = {way.method: way for way in ways(case, known)}
    best = SimpleNamespace(chosen=np.ones((len(facts.patterns), 1)) * 0.25, forced=())
    assert chosen_for(case, sample, facts, found["core setter"], best) is best.chosen
    by_rack = chosen_for(case, sample, facts, found["hand and rack"], best)
    assert dict(zip(facts.patterns, by_rack[:, 0], strict=True)) == {"HUB": 1, "BOX": 0, "CAP": 1, "JOB": 0}


@pytest.mark.parametrize(("shifts", "entered"), [(1.0, 0.0), (2.0, 0.0), (3.0, 1.25), (2.0, 0.5)])
def test_scenarios_by_their_own_flows(shifts, entered):
    """Volumes, runs, hours and pay changed one by one by hand, on the same draws: today, a recession, a shift more."""
    case = plant(money=money(shift_premium=0.12, more_shift_volume=entered, recession_volume=0.6))
    case = replace(case, line=replace(case.line, shifts_per_day=shifts))
    known = rates(draws=40)
    sample, facts, way = draw(case, known, (), draws=60, seed=1), plan(case, known), ways(case, known)[0]
    chosen = np.array([[1.0], [1.0], [0.0], [0.0]])
    more = entered or (shifts + 1) / shifts
    longer = facts.changed(shifts_per_day=shifts + 1)
    assert longer.hours_available == pytest.approx(8 * 230 * (shifts + 1))
    assert longer.figure("shift_factor") == pytest.approx(1 + 0.12 * shifts / (shifts + 1))
    wanted = [("today", 1.0, 1.0, facts), ("recession", 0.6, 1.0, facts), ("more_shift", more, more, longer)]
    for row, (name, volume, runs, year) in zip(scenarios(case, sample, facts, way, chosen), wanted, strict=True):
        changed = {f"molds_per_year.{code}": sample[f"molds_per_year.{code}"] * volume for code in facts.patterns}
        changed |= {f"runs.{code}": sample[f"runs.{code}"] * runs for code in facts.patterns}
        flow = cash_flow(sample.changed(changed), year, way, case.money, chosen).total
        worth = npv(flow, 0.10)
        assert (row.name, row.volume) == (name, pytest.approx(volume))
        assert row.npv.mean == pytest.approx(worth.mean()) and row.npv.middle == np.quantile(
            worth, 0.5, method="higher"
        )
        assert row.chance_npv_positive == np.mean(worth > 0)
        base = cash_flow(sample.changed(changed).centre(), year, way, case.money, chosen).total[0]
        assert row.payback_years == pytest.approx(payback(base)) and row.base_npv == pytest.approx(npv(base, 0.10))
        assert row.flow == pytest.approx(tuple(base))


def test_chances_of_a_way_are_those_of_its_flows():
    """Of flows of 0.5, 0 and -1 today, one is worth more than nothing; a payback at the limit is within it."""
    case = plant(money=money(payback_limit_years=2.0, years=3))
    total = np.array([[-1.0, 0.5, 0.5, 0.5], [-2.0, 1.0, 0.5, 0.5], [-1.0, 0.0, 0.0, 0.0], [0.0, 0.0, 0.0, 0.0]])
    none = np.zeros(4)
    flow = SimpleNamespace(total=total, first_cost=-total[:, 0], yearly=total[:, 1], line_hours=none, way_hours=none)
    known = rates(draws=5)
    sample = draw(case, known, (), draws=5, seed=1)
    base = SimpleNamespace(total=total.mean(axis=0)[None], first_cost=np.ones(1), yearly=np.full(1, 0.375))
    row = alternative(case, sample, plan(case, known), ways(case, known)[0], np.zeros((4, 1)), flow, base, ())
    assert row.chance_npv_positive == 0.25 and row.chance_payback == 0.5, "back within two years, and nothing to pay"
    assert (row.first_cost, row.yearly_saving) == (1.0, 0.375) and row.flow == (-1.0, 0.375, 0.25, 0.25)
    assert row.payback_years == pytest.approx(payback([-1.0, 0.375, 0.25, 0.25]))
    sold = plant(money=money(more_shift_volume=1.0))
    nobody = np.zeros((4, 1))
    for each in scenarios(
        sold, draw(sold, known, (), draws=9, seed=1), plan(sold, known), ways(sold, known)[0], nobody
    ):
        assert each.chance_npv_positive == each.npv.mean == 0.0, "what changes nothing is never sure to pay"


def test_a_claim_is_set_against_the_cycles_of_its_own_method():
    """Cycles of 30, 31, 32 and 33 s: a claim of 31 is met by two of four. By hand there is no claim."""
    facts = {"mean_s": 31.5, "low_s": 30.0, "high_s": 33.0, "draws_s": [30.0, 31.0, 32.0, 33.0]}
    rows = [SimpleNamespace(pattern=p, method=m, **facts) for p, m in (("BOX", "manual"), ("HUB", "core setter"))]
    case = plant()
    (found,) = claims(replace(case, setter=replace(case.setter, claimed_cycle_s=31.0)), rows)
    assert (found.pattern, found.claimed_s, found.chance_met) == ("HUB", 31.0, 0.5)
    assert (found.studied_s, found.low_s, found.high_s) == (31.5, 30.0, 33.0)
    assert claims(replace(case, setter=replace(case.setter, claimed_cycle_s=0.0)), rows) == ()
