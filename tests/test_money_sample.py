"""What is drawn: every range at its stated chances, rates from their replications, and what stays a single number."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from plant import SECONDS, VOLUME, money, plant, rates
from scipy import stats
from test_money_parts import counted
from test_money_ways import exactly, timed

from coreset.case import Range
from coreset.money.pattern_choice import eligible
from coreset.money.scrap import findings
from coreset.money.simulation_inputs import OF_PLANT, PER_PATTERN, Sample, _resampled, draw, tied_groups
from coreset.money.streams import scores
from coreset.money.year_plan import plan, ways


def test_every_range_is_drawn_at_its_stated_chances():
    """10 %, 50 % and 90 % of each price and of each pattern's own figures are low, likely and high, to 3 % of it."""
    own = {"mask_cost": Range(low=5_000, likely=8_000, high=15_000)}
    case = plant()
    case = replace(case, patterns=(replace(case.patterns[0], **own), *case.patterns[1:]))
    found = draw(case, (), (), draws=20_000, seed=5)
    wanted = {name: getattr(case.money, name) for name in (*OF_PLANT, "mask_cost")}
    wanted |= {f"{name}.{p.pattern}": getattr(p, name) for p in case.patterns for name in PER_PATTERN}
    wanted |= {"mask_cost.HUB": own["mask_cost"]}
    assert found.uncertain == tuple(
        name for name in found.values if not wanted.get(name, case.money.injury_cost_per_year).known
    )
    for name, figure in wanted.items():
        if figure.known:
            assert found[name] == figure.likely
        else:
            assert found.spread(name) == pytest.approx((figure.low, figure.likely, figure.high), rel=0.03)
    assert {f"runs.{code}" for code in VOLUME} <= set(found.values)
    assert set(found.values) == set(wanted) | {f"runs.{code}" for code in VOLUME}


def test_a_hold_in_doubt_is_drawn_and_a_sure_one_is_not():
    """Held with a chance of 0.3: 1 in 30 % of the draws, else 0; sure or never held: no doubt, or 0 throughout."""
    case = plant()
    for chance in (1.0, 0.3, 0.0):
        patterns = tuple(replace(p, hold_chance=chance) if p.pattern == "BOX" else p for p in case.patterns)
        found = draw(replace(case, patterns=patterns), (), (), draws=40_000, seed=2)
        held = [name for name in found.values if name.startswith("held.")]
        assert held == ([] if chance == 1.0 else ["held.BOX"])
        if held:
            assert set(np.unique(found["held.BOX"])) <= {0.0, 1.0}
            assert found["held.BOX"].mean() == pytest.approx(chance, abs=0.01)


def test_rates_are_drawn_from_their_replications():
    """Two that differ: each as often as the other. One, or all alike: that number. None: the rate told."""
    rng = np.random.default_rng(1)

    def drawn(*known):
        return _resampled(SimpleNamespace(draws=known, molds_per_h=70.0), 10_000, rng)

    values, counts = np.unique(drawn(60.0, 61.0), return_counts=True)
    assert values.tolist() == [60.0, 61.0] and counts[0] == pytest.approx(5_000, abs=250)
    values, counts = np.unique(drawn(60.0, 61.0, 62.0), return_counts=True)
    assert values.tolist() == [60.0, 61.0, 62.0] and min(counts) > 3_000
    assert drawn(60.0) == 60.0 and drawn(60.0, 60.0, 60.0) == 60.0 and drawn() == 70.0
    assert np.ndim(drawn(0.5, 0.5)) == 0 and np.ndim(drawn(0.25, 1.25)) == 1


def test_known_figures_are_single_numbers():
    """Where every figure is known nothing is uncertain, and the mean of every input is the input."""
    case = exactly(plant())
    found = draw(case, timed(SECONDS), (), draws=7, seed=1)
    assert found.uncertain == () and found.n == 7
    assert found.centre() == Sample(n=1, values=dict(found.values))
    assert found["rate.HUB.manual"] == pytest.approx(3600 / 41)


def test_scrap_is_drawn_only_where_the_counts_tell():
    """60 against 25 of 5,000 is drawn, 30 against 25 is not."""
    for manual, told in ((60, True), (30, False)):
        case = counted(manual, 25)
        assert ("scrap.BOX" in draw(case, (), findings(case), draws=9, seed=1).values) is told


def test_parts_of_a_sample():
    """A run of draws, one draw at the means, an input replaced: the rest is kept."""
    whole = Sample(n=4, values={"a": np.array([1.0, 2.0, 4.0, 9.0]), "b": 3.0})
    part = whole.rows(1, 3)
    assert (part.n, part["a"].tolist(), part["b"]) == (2, [2.0, 4.0], 3.0)
    assert whole.centre() == Sample(n=1, values={"a": 4.0, "b": 3.0})
    other = whole.changed({"b": 5.0})
    assert (other.n, other["b"], other["a"] is whole["a"], whole["b"]) == (4, 5.0, True, 3.0)
    assert Sample(n=11, values={"a": np.arange(11.0)}).spread("a") == (1.0, 5.0, 9.0)


@pytest.mark.parametrize("rho", [-1.0, 1.0])
def test_full_correlation_makes_margins_follow_volumes(rho):
    """At 1 the ranks of volume and margin are the same, at -1 turned; extra molds follow neither."""
    found = draw(plant(money=money(volume_margin_correlation=rho)), rates(), (), draws=500, seed=3)
    order = [np.argsort(found[f"{name}.BOX"]) for name in PER_PATTERN]
    assert (order[1] == order[0][:: int(rho)]).all()
    assert abs(np.corrcoef(found["molds_per_year.BOX"], found["extra_molds_per_year.BOX"])[0, 1]) < 0.15


@settings(max_examples=25, deadline=None)
@given(st.data())
def test_no_input_bears_on_the_runs_of_another(data):
    """Fixing an input, making one uncertain, a pattern more, or another order of patterns: all others bit-identical."""
    case = plant()
    before = draw(case, rates(), (), draws=64, seed=7)
    fixed = data.draw(st.sampled_from(sorted({name for name in before.uncertain if "." not in name})))
    doubtful = data.draw(st.sampled_from([p.pattern for p in case.patterns]))
    order = data.draw(st.permutations(case.patterns))
    patterns = [replace(p, hold_chance=0.5) if p.pattern == doubtful else p for p in order]
    known = Range.exactly(getattr(case.money, fixed).likely)
    new = replace(patterns[0], pattern="NEW", molds_per_year=Range(low=1, likely=2, high=3))
    changed = replace(case, money=replace(case.money, **{fixed: known}), patterns=(new, *patterns))
    after = draw(changed, reversed(rates()), (), draws=64, seed=7)
    others = set(before.values) - {fixed}
    assert all(np.array_equal(before[name], after[name]) for name in others) and len(others) > 15
    assert np.ndim(after[fixed]) == 0 and np.ndim(after[f"held.{doubtful}"]) == 1


def test_streams_of_two_names_do_not_go_together():
    """All 435 pairs of 30 names: correlation by chance below 4/sqrt(n); each has the exact scores, in its own order."""
    found = np.stack([scores(f"input.{k}", 1, 10_000) for k in range(30)])
    assert np.abs(np.corrcoef(found) - np.eye(30)).max() < 0.04
    assert (np.sort(found, axis=1) == np.sort(found[0])).all()
    exact = stats.norm.ppf((np.arange(10_000) + 0.5) / 10_000)
    assert np.sort(found[0]) == pytest.approx(exact, abs=1e-5)


@pytest.mark.parametrize("rho", [0.0, 0.4, 1.0])
def test_volumes_of_one_market_and_prices_go_together_as_entered(rho):
    """Correlation of the scores of two volumes, and of two prices, is the one entered; volume and price have none."""
    ranges = {name: Range(low=90, likely=100, high=110) for name in ("setter_price", "wage_per_h")}
    case = plant(money=money(volume_correlation=rho, price_correlation=rho, **ranges))
    even = tuple(replace(p, molds_per_year=Range(low=90, likely=100, high=110)) for p in case.patterns)
    found = draw(replace(case, patterns=even), rates(), (), draws=20_000, seed=2)
    names = ("molds_per_year.HUB", "molds_per_year.BOX", "setter_price", "wage_per_h")
    across = np.corrcoef([found[name] for name in names])
    assert (across[0, 1], across[2, 3]) == pytest.approx((rho, rho), abs=0.03)
    assert np.abs(across[:2, 2:]).max() < 0.03


def test_correlated_inputs_have_one_index_together():
    """Volumes of one market with the margins tied to them; prices with masks; the rest each by itself."""
    names = [f"{name}.{code}" for code in "AB" for name in ("molds_per_year", "margin_per_casting", "mask_cost")]
    names += ["wage_per_h", "held.A"]
    groups = tied_groups(money(volume_correlation=0.2, volume_margin_correlation=-0.5, price_correlation=0.1), names)
    assert list(groups.values()) == [
        [name for name in names if name.startswith(("molds", "margin"))],
        ["mask_cost.A", "mask_cost.B", "wage_per_h"],
        ["held.A"],
    ]
    assert list(tied_groups(money(volume_margin_correlation=0.5), names).values())[:2] == [names[:2], ["mask_cost.A"]]
    assert tied_groups(money(), names) == {name: [name] for name in names}


def test_patterns_timed_under_a_way():
    """HUB and CAP timed by the rack: these two may go over; where none is, all may, at today's times."""
    case = plant()
    known = timed(SECONDS | {("HUB", "hand and rack"): 38.0, ("CAP", "hand and rack"): 22.0})
    rack = next(way for way in ways(case, known) if way.method == "hand and rack")
    for rows, places in ((known, [0, 2]), (timed(SECONDS), [0, 1, 2, 3])):
        assert eligible(plan(case, rows), rack, draw(case, rows, (), draws=3, seed=1)) == places
