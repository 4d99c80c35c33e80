"""What one pattern saves, from which run and volume on, and what its mold costs: sums on paper, pattern by pattern."""

import math
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import numpy_financial as npf
import pytest
from plant import SECONDS, VOLUME, plant
from test_money_ways import FULL, exactly, timed

from coreset.case import Range
from coreset.money import pattern_economics
from coreset.money.first_gain import first_gain
from coreset.money.marginal_saving import chosen_set
from coreset.money.pattern_economics import pattern_rows
from coreset.money.pattern_saving import break_even_run, break_even_volume, net_saving
from coreset.money.simulation_inputs import draw
from coreset.money.year_plan import plan, rate_name, ways

PAY = 23 * 1.42 * (1 + 0.1 * 2 / 3)
"""Three shifts, the later two at 10 % more: 1 + 0.1 x 2/3 on the wage, 42 % on top."""
ANNUITY = -npf.pv(0.10, 10, 1.0)
SETTER = 170_000 + 25_000 + 6_000


def bench(codes=tuple(VOLUME), *, seconds=SECONDS, change_min=12, name="core setter", volume=1.0, hold=1.0, **money):
    """Case, sample, plan, way and a mix in which all these patterns go over; figures known, nothing down or worn."""
    case = exactly(plant(line=replace(FULL, shifts_per_day=3)))
    still = {"shift_premium": 0.1, "mask_life_molds": 0.0, "ramp_up_molds": 0.0}
    patterns = tuple(
        replace(p, molds_per_year=Range.exactly(volume * p.molds_per_year.likely), hold_chance=hold)
        for p in case.patterns
        if p.pattern in codes
    )
    setter = replace(case.setter, mask_change_min=change_min, downtime_share=0.0)
    case = replace(case, patterns=patterns, setter=setter, money=replace(case.money, **{**still, **money}))
    known = timed(seconds)
    sample, facts = draw(case, known, (), draws=3, seed=1), plan(case, known)
    way = {way.name: way for way in ways(case, known)}[name]
    mix = SimpleNamespace(chosen=np.ones((len(codes), 1)), forced=(), worth={}, needs=())
    return case, sample, facts, way, mix


def of(given, code):
    """The row of one pattern."""
    return {row.pattern: row for row in pattern_rows(*given)}[code]


def test_what_masks_cost_a_year():
    """HUB makes 600,000 molds in ten years: two masks at first by annuity, one more for each 130,000 worn, repair.

    Masks of 150,000 wear out four times, and the last need not be bought again: the plant stops with it.
    """
    first = 2 * 9_000 / ANNUITY + 2 * 600
    for life, bought in ((0.0, 0), (130_000, 4), (150_000, 3), (149_999, 4), (600_000, 0), (700_000, 0)):
        found = of(bench(spare_masks=1, mask_life_molds=life), "HUB")
        assert found.mask_per_year == pytest.approx(first + bought * 9_000 / 10), life
    assert of(bench(("HUB",), name="hand and rack"), "HUB").mask_per_year == 0.0


def test_a_saving_that_turns_at_a_known_place():
    """x - edge turns at the edge, to a thousandth; not by `high` is never; nothing at all is not positive."""
    low, high, edge = np.ones((1, 5)), np.full((1, 5), 400.0), np.array([[1.7, 3.0, 40.0, 390.0, 500.0]])
    found = first_gain(lambda x, rows, runs: x - edge[np.ix_(rows, runs)], low, high)
    assert found[0, :4] == pytest.approx(edge[0, :4], rel=1e-3) and found[0, 4] == math.inf
    level = first_gain(lambda x, rows, runs: np.maximum(0.0, x - edge[np.ix_(rows, runs)]), low, high)
    assert level == pytest.approx(found, rel=1e-4)
    assert np.isinf(first_gain(lambda x, *_: 0 * x, low, high)).all()
    other = first_gain(lambda x, rows, runs: (x - edge[np.ix_(rows, runs)]) / 1e3, low, high)
    assert other == pytest.approx(found, rel=1e-4), "in any currency"
    jump = first_gain(lambda x, rows, runs: np.where(x > edge[np.ix_(rows, runs)], 7.0, -2.0), high, low)
    assert np.isinf(jump).all(), "falls from low to high"


def test_saving_of_a_pattern_beside_the_others():
    """HUB beside BOX: 11 s of three people, air, power, its mask by annuity and repair.

    The two are run in turn, so that HUB's changes of masks take the place of swinging the setter aside after BOX.
    """
    found = of(bench(("HUB", "BOX"), change_min=0), "HUB")
    saved = 60_000 * (11 / 3600 * 3 * PAY - 0.09 * 0.02 - 30 / 3600 * 4 * 0.08)
    assert found.saving_per_year == pytest.approx(saved - 9_000 / ANNUITY - 600)
    assert found.saving_low == found.saving_high == pytest.approx(found.saving_per_year)
    changed = of(bench(("HUB", "BOX")), "HUB")
    assert found.saving_per_second == changed.saving_per_second == pytest.approx(saved / (60_000 * 11))
    assert changed.saving_per_year == pytest.approx(found.saving_per_year), "60 changes for 60 times swung aside"
    assert len(found.draws["saving"]) == 3, "all draws there are"
    level = of(bench(("HUB", "BOX"), seconds=SECONDS | {("BOX", "core setter"): 62.0}), "BOX")
    assert level.seconds_saved == 0 and math.isnan(level.saving_per_second)


@pytest.mark.parametrize("change_min", [3, 12, 20])
def test_break_evens_of_a_pattern_alone_are_straight_lines(change_min):
    """HUB alone: V (s - c/run) = setter's upkeep + mask, solved for the run at this V and for V at this run.

    s is what a mold saves, c what a change costs; upkeep is maintenance and floor space.
    """
    case, sample, facts, way, mix = bench(("HUB",), change_min=change_min)
    each = 11 / 3600 * 3 * PAY - 0.09 * 0.02 - 30 / 3600 * 4 * 0.08
    change, fixed = change_min / 60 * 3 * PAY, 7_000 + 800 + 9_000 / ANNUITY + 600
    b = chosen_set(sample, facts, way, case.money, mix.chosen)
    per_second = (60_000 * each - 7_800) / (60_000 * 11)
    assert of((case, sample, facts, way, mix), "HUB").saving_per_second == pytest.approx(per_second), "before changes"
    assert net_saving(b, case.money, [0])[0] == pytest.approx(60_000 * each - 60 * change - fixed)
    assert break_even_run(b, case.money, [0])[0] == pytest.approx(60_000 * change / (60_000 * each - fixed), rel=2e-3)
    assert break_even_volume(b, case.money, [0])[0] == pytest.approx(fixed / (each - change / 1_000), rel=2e-3)
    small = bench(("HUB",), change_min=change_min, volume=0.1)
    b = chosen_set(*small[1:4], small[0].money, small[4].chosen)
    assert np.isinf(break_even_run(b, small[0].money, [0])[0]).all(), "6,000 molds in one run earn no setter"
    wanted = fixed / (each - change / 100) if change < 100 * each else math.inf
    assert break_even_volume(b, small[0].money, [0])[0] == pytest.approx(np.full(3, wanted), rel=2e-3)


def test_break_even_volume_is_looked_for_up_to_fifty_times():
    """HUB at a sixtieth and a fortieth of what earns its keep: beyond fifty times is never."""
    each = 11 / 3600 * 3 * PAY - 0.09 * 0.02 - 30 / 3600 * 4 * 0.08
    wanted = (7_000 + 800 + 9_000 / ANNUITY + 600) / each
    for times, found in ((40, wanted), (60, math.inf), (1 / 40, wanted), (1 / 60, wanted * 60 / 50)):
        given = bench(("HUB",), change_min=0, volume=wanted / 60_000 / times)
        b = chosen_set(*given[1:4], given[0].money, given[4].chosen)
        assert break_even_volume(b, given[0].money, [0])[0] == pytest.approx(np.full(3, found), rel=2e-3)


def mold(way_h, *, each_h=30 / 3600, machine=1.0, price=170_000, lease=0.0):
    """HUB's mold by the setter, which is used so many hours a year."""
    shared = (price + 31_000) / ANNUITY + lease + 7_000 + 800
    changes = 60 * 0.2 * 3 * PAY / 60_000
    mask = (9_000 / ANNUITY + 600) / 60_000
    labour, power = each_h * PAY * 3, each_h * 4 * 0.08
    return labour + 0.09 * 0.02 + power + machine * each_h * shared / way_h + changes + mask


def test_what_a_mold_costs_by_each_way_of_paying_for_the_setter():
    """Bought, leased at 20,000 a year, second-hand at 60,000; the baseline is labour alone; two cores in a mold."""
    hours = sum(VOLUME[code] * SECONDS[code, "core setter"] for code in VOLUME) / 3600 + 210 * 0.2
    offers = {"lease_per_year": 20_000, "second_hand_price": 60_000}
    ways_paid = {"core setter": {}, "leased": {"price": 0, "lease": 20_000}, "second-hand": {"price": 60_000}}
    for name, paid in ways_paid.items():
        found = of(bench(name=name, **offers), "HUB")
        assert found.cost_per_mold_candidate == pytest.approx(mold(hours, **paid)), name
        assert found.cost_per_core_candidate == pytest.approx(mold(hours, **paid) / 2)
        assert found.cost_per_mold_baseline == pytest.approx(41 / 3600 * PAY * 3)
        assert found.cost_per_core_baseline == pytest.approx(41 / 3600 * PAY * 3 / 2)


def test_a_setter_that_nobody_timed_is_as_fast_as_today():
    """No rate of the setter at all: 41 s either way, and the machine's hours are those of today's seconds."""
    given = bench(seconds={key: s for key, s in SECONDS.items() if key[1] == "manual"})
    found, hours = of(given, "HUB"), sum(VOLUME[c] * SECONDS[c, "manual"] for c in VOLUME) / 3600 + 210 * 0.2
    assert (found.seconds_baseline, found.seconds_candidate) == pytest.approx((41.0, 41.0))
    assert found.seconds_saved == pytest.approx(0.0) and found.why_not == ""
    assert found.cost_per_mold_candidate == pytest.approx(mold(hours, each_h=41 / 3600))


def test_a_setter_that_holds_nothing_has_no_hours_to_share_it_by():
    """Held in no draw: the setter is never used, a mold bears no share of it. Without cores none has a cost."""
    given = bench(hold=0.0)
    assert of(given, "HUB").cost_per_mold_candidate == pytest.approx(mold(1.0, machine=0.0))
    bare = of((replace(given[0], cores=()), *given[1:]), "HUB")
    assert bare.cores_per_mold == 0 and math.isnan(bare.cost_per_core_baseline + bare.cost_per_core_candidate)


@pytest.mark.parametrize(
    ("inside", "worth", "net", "why"),
    [
        (True, {"HUB": -5.0}, -1.0, ""),
        (False, {"HUB": 0.5}, -1.0, "limit"),  # would add something: only a limit keeps it out
        (False, {"HUB": 0.0}, -0.5, "own_mask"),
        (False, {"HUB": 0.0}, 0.0, "adds_nothing"),
        (False, {"HUB": -3.0}, 0.5, "adds_nothing"),
        (False, {}, -0.5, "own_mask"),
    ],
)
def test_why_a_pattern_stays(inside, worth, net, why):
    """In the set; kept out by a limit; not earning its mask; earning it but adding nothing to the set."""
    mix = SimpleNamespace(chosen=np.array([[float(inside)]]), worth=worth, needs=())
    plan, way = SimpleNamespace(patterns=("HUB",)), SimpleNamespace(unable=frozenset(), beyond=frozenset())
    assert pattern_economics._why_not(plan, way, mix, 0, net) == why


def test_seconds_and_runs_are_of_the_mean_rate():
    """Rates of 80 and 100 molds an hour: 3600/90 = 40 s, not the mean of 45 and 36; 60,000 molds in 60 runs."""
    given = bench(("HUB", "BOX"))
    sample = given[1].changed({rate_name("HUB", "manual"): np.array([80.0, 90.0, 100.0])})
    found = of((given[0], sample, *given[2:]), "HUB")
    assert (found.seconds_baseline, found.seconds_saved) == pytest.approx((40.0, 10.0))
    assert (found.molds_per_year, found.run_molds) == (60_000, 1_000)
