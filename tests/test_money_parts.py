"""Ranges, scrap counts and ramp-up: what enters the draws."""

import math
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from figures_cases import SIZE, demo_inputs
from money_year import extra_molds, slope
from plant import plant
from scipy import stats

from coreset.case import Range, ScrapCount
from coreset.errors import OutOfRange
from coreset.figures import evaluate
from coreset.money.distributions import at
from coreset.money.figures import MODEL
from coreset.money.run_length_grid import run_grid
from coreset.money.scrap import castings_needed, chance_of_accident, difference_draws, exact_interval, findings
from coreset.money.study_value import MOST_TOGETHER, _moving
from coreset.money.value_of_information import evppi

RANGES = [(90, 100, 110), (90, 100, 160), (40, 100, 110), (100, 100, 150), (50, 100, 100), (-30, 0, 10)]


@pytest.mark.parametrize("low, likely, high", RANGES)
@pytest.mark.parametrize("meaning, edge", [("10-50-90", 10), ("5-50-95", 5)])
def test_stated_chances_hold(low, likely, high, meaning, edge):
    """The three stated quantiles come out of 400,000 draws, to 2 % of the range."""
    z = np.random.default_rng(1).standard_normal(400_000)
    found = np.percentile(at(Range(low=low, likely=likely, high=high), z, meaning), [edge, 50, 100 - edge])
    assert found == pytest.approx([low, likely, high], abs=0.02 * (high - low))


def test_hard_limits_are_a_triangle():
    """Mean (low + likely + high)/3 and ends that are never passed: the triangular distribution of any textbook."""
    z = np.random.default_rng(2).standard_normal(400_000)
    values = at(Range(low=2, likely=3, high=10), z, "limits")
    assert values.mean() == pytest.approx(5.0, abs=0.01)
    assert values.std() == pytest.approx(math.sqrt((4 + 9 + 100 - 6 - 20 - 30) / 18), abs=0.01)
    assert values.min() >= 2 and values.max() <= 10


def test_what_cannot_be_negative_is_not():
    """A wide range from zero up gives no negative price."""
    z = np.random.default_rng(3).standard_normal(100_000)
    assert at(Range(low=0, likely=100, high=300), z, "10-50-90").min() >= 0
    with pytest.raises(OutOfRange, match="low <= likely <= high"):
        at(Range(low=5, likely=4, high=6), z, "10-50-90")


@pytest.mark.rules("SCRAP-exact")
@pytest.mark.parametrize("scrapped, poured", [(0, 10), (1, 30), (7, 200), (30, 30), (150, 4_000)])
def test_exact_interval_equals_scipy(scrapped, poured):
    """scipy.stats.binomtest(...).proportion_ci(method="exact") as the second opinion."""
    from scipy.stats import binomtest

    theirs = binomtest(scrapped, poured).proportion_ci(method="exact")
    assert exact_interval(scrapped, poured) == pytest.approx((theirs.low, theirs.high), abs=1e-12)


@pytest.mark.parametrize(
    "first, second",
    [((3, 4), (1, 4)), ((1, 1), (0, 5)), ((40, 1_000), (22, 1_000)), ((0, 50), (0, 60)), ((9, 10), (5, 8))],
)
def test_chance_of_accident_equals_scipy(first, second):
    """scipy.stats.fisher_exact as the second opinion."""
    from scipy.stats import fisher_exact

    table = [[first[0], first[1] - first[0]], [second[0], second[1] - second[0]]]
    assert chance_of_accident(first, second) == pytest.approx(fisher_exact(table).pvalue, rel=1e-9)


def test_chances_of_many_castings_are_told_at_once():
    """Ten million castings a method: the chi-square test, which the exact one comes to, as the second opinion."""
    table = [[10_300, 9_989_700], [10_000, 9_990_000]]
    found = chance_of_accident((10_300, 10_000_000), (10_000, 10_000_000))
    assert found == pytest.approx(stats.chi2_contingency(table).pvalue, rel=0.01)


def test_the_grid_of_runs_stays_small():
    """A row each number of cores up to one more than the plant has; of a mold of 1,000 cores no more than are seen."""
    for most, rows in ((4, 5), (22, 23), (1_000, 24)):
        pattern = SimpleNamespace(molds_per_year=1_000.0, cores_per_mold=most, seconds_saved=9.0, run_molds=50.0,
                                  saving_per_second=0.01)  # fmt: skip
        found = [cell.cores_per_mold for cell in run_grid([pattern], 5.0).cells]
        assert found[0] == 1 and found[rows - 1] == most + 1 and len(set(found)) == rows


def test_the_grid_of_runs_by_hand():
    """Two patterns: 38,000 s saved on 10,000 cores are 3.8 s a core; a second is worth their mean, by seconds saved."""
    rows = [
        SimpleNamespace(molds_per_year=1_000.0, cores_per_mold=4, seconds_saved=8.0, run_molds=50.0,
                        saving_per_second=0.01),
        SimpleNamespace(molds_per_year=3_000.0, cores_per_mold=2, seconds_saved=10.0, run_molds=20.0,
                        saving_per_second=0.03),
    ]  # fmt: skip
    found, second = run_grid(rows, 5.0), (80.0 + 900.0) / 38_000
    assert (found.seconds_per_core, found.worth_of_second) == pytest.approx((3.8, second))
    assert [cell.run_molds for cell in found.cells[::5]] == [10, 20, 40, 80]
    for cell in found.cells:
        assert cell.saving_per_mold == pytest.approx(cell.cores_per_mold * 3.8 * second - 5.0 / cell.run_molds)
    assert run_grid([SimpleNamespace(seconds_saved=math.nan, cores_per_mold=2)], 5.0) is None


def counted(manual, assisted, *, touched=True, **changes):
    """A case with scrap counts of one cause."""
    rows = tuple(
        ScrapCount(
            pattern="BOX",
            method=method,
            cause="core shift",
            castings_poured=5_000,
            castings_scrapped=count,
            setting_can_touch=touched,
            source="invented",
        )
        for method, count in (("manual", manual), ("core setter", assisted))
    )
    return plant(scrap=rows, **changes)


def test_scrap_counts_or_cannot_tell_yet():
    """60 against 25 in 5,000 counts; 30 against 25 does not and says how many castings more; untouched causes never."""
    sure = findings(counted(60, 25))[0]
    assert sure.counts and sure.more_castings == 0
    unsure = findings(counted(30, 25))[0]
    assert not unsure.counts and unsure.more_castings == castings_needed(0.006, 0.005) - 5_000 > 5_000
    assert findings(counted(60, 25, touched=False)) == ()


def test_each_side_of_a_finding_is_its_own_count():
    """30 of 4,000 by hand, two causes together, and 12 of 9,000 by the setter: rates and scipy's exact intervals."""
    facts = {"pattern": "HUB", "cause": "core shift", "setting_can_touch": True, "source": "log"}
    rows = [
        ScrapCount(method="manual", castings_poured=4_000, castings_scrapped=18, **facts),
        ScrapCount(method="manual", castings_poured=4_000, castings_scrapped=12, **{**facts, "cause": "crush"}),
        ScrapCount(method="core setter", castings_poured=9_000, castings_scrapped=12, **facts),
    ]
    alone = ScrapCount(method="manual", castings_poured=500, castings_scrapped=3, **{**facts, "pattern": "BOX"})
    (found,) = findings(plant(scrap=(*rows, alone)))
    by_hand, by_setter = (stats.binomtest(k, n).proportion_ci(method="exact") for k, n in ((30, 4_000), (12, 9_000)))
    assert (found.poured, found.scrapped) == ((4_000, 9_000), (30, 12))
    assert found.rate == pytest.approx((30 / 4_000, 12 / 9_000))
    assert found.low == pytest.approx((by_hand.low, by_setter.low))
    assert found.high == pytest.approx((by_hand.high, by_setter.high))
    assert found.chance_of_accident == pytest.approx(stats.fisher_exact([[30, 3_970], [12, 8_988]]).pvalue)
    drawn = difference_draws(found, 40_000, np.random.default_rng(2))
    first, second = stats.beta(30.5, 3_970.5), stats.beta(12.5, 8_988.5)
    assert drawn.mean() == pytest.approx(first.mean() - second.mean(), rel=0.01)
    assert drawn.std() == pytest.approx(np.hypot(first.std(), second.std()), rel=0.02)
    few = replace(found, scrapped=(1, 0), poured=(4, 3))
    assert difference_draws(few, 40_000, np.random.default_rng(2)).mean() == pytest.approx(1.5 / 5 - 0.5 / 4, abs=0.006)


@pytest.mark.rules("LEARN-unit")
def test_learning_curve_by_hand():
    """An 80 % curve: 1/0.8 at the first mold falls to 1 at the second; four molds of a 90 % curve added by hand."""
    assert slope(start=1 / 0.8, molds=2) == pytest.approx(-math.log(0.8) / math.log(2))
    b = -math.log(0.9) / math.log(2)
    start = 4**b
    by_hand = sum(start * n**-b - 1 for n in (1, 2, 3, 4))
    assert extra_molds([4, 400], start=start, molds=4) == pytest.approx([by_hand, by_hand])
    assert extra_molds(100.0, start=1.0, molds=50) == 0


@pytest.mark.parametrize(("start", "molds", "error"), [(1.4, 3_000, 2e-4), (2.0, 500, 7e-4), (3.0, 50, 6e-3)])
def test_closed_form_of_the_learning_curve_is_the_sum(start, molds, error):
    """[crawford1944] Time lost by several mold numbers, closed form against the sum mold by mold, in molds."""
    for made in (0.0, 1.0, molds / 3, molds, 9 * molds):
        inputs = demo_inputs() | {"ramp_up_start": start, "ramp_up_molds": molds, "molds_per_year": [made, 0, 0, 0, 0]}
        got = evaluate(MODEL, inputs | {"extra_molds_per_year": [0.0] * 5}, SIZE, keep=["molds_lost_by"])
        assert got["molds_lost_by"][0, 0, 0] == pytest.approx(extra_molds(made, start=start, molds=molds), abs=error)


def test_very_many_inputs_are_cut_to_those_that_move_the_worth():
    """Of 60 independent inputs of which two matter, knowing all is worth what knowing the two is."""
    rng = np.random.default_rng(5)
    inputs = rng.standard_normal((60, 20_000))
    worth = np.stack([np.zeros(20_000), 3 * inputs[7] + 2 * inputs[50] - 1], axis=1)
    kept = _moving(worth, inputs)
    assert len(kept) == MOST_TOGETHER
    exact = np.hypot(3, 2) * stats.norm.pdf(1 / np.hypot(3, 2)) - stats.norm.sf(1 / np.hypot(3, 2))
    assert evppi(worth, kept) == pytest.approx(exact, rel=0.05)


@pytest.mark.parametrize("rho", [-0.6, 0.0, 0.7])
def test_volumes_and_margins_go_together_as_the_case_says(rho):
    """The correlation of 50,000 draws of volume and margin is the one entered, to sampling error."""
    from plant import money, rates

    from coreset.money.simulation_inputs import draw

    sample = draw(plant(money=money(volume_margin_correlation=rho)), rates(), (), draws=50_000, seed=2)
    found = np.corrcoef(sample["molds_per_year.HUB"], sample["margin_per_casting.HUB"])[0, 1]
    assert found == pytest.approx(rho, abs=0.02)


def test_a_second_operator_is_paid_for():
    """The same times with one person more: that way costs the person's hours and is worth less than with one."""
    from dataclasses import replace

    from plant import parts

    from coreset.case import Method
    from coreset.money.evaluate import weigh

    case, *others = parts()
    two = Method(method="two by hand", operators=2, steps=())
    found = weigh(replace(case, methods=(*case.methods, two)), *others, draws=800)
    ways = {row.name: row for row in found.alternatives}
    assert ways["two by hand"].npv.mean < ways["hand and rack"].npv.mean and ways["two by hand"].yearly_saving < 0
