"""Many patterns: what is calculated one by one, or by programming, equals what trying everything gives."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from money_year import year
from plant import SECONDS, VOLUME, around, money, plant, screened, standards

from coreset.case import Line, Range
from coreset.money.evaluate import weigh
from coreset.money.marginal_saving import chosen_set, saved
from coreset.money.pattern_choice import best_mix
from coreset.money.set_selection import NotProved, by_program, kept
from coreset.money.simulation_inputs import draw
from coreset.money.year_plan import plan, ways


def grown(count, seed, *, days=190, **changes):
    """A plant of many patterns like the four of the invented one, and its rates. `changes` of Money."""
    rng, case = np.random.default_rng(seed), plant()
    made, known = [], []
    for k in range(count):
        like, code, scale = case.patterns[k % len(VOLUME)], f"P{k:02d}", rng.uniform(0.5, 1.5) * len(VOLUME) / count
        volume = VOLUME[like.pattern] * scale
        more = around(2_000 * scale, 0.5) if k % 3 else Range.exactly(0.0)
        runs = max(1.0, rng.uniform(10, 60) * scale)
        made.append(
            replace(
                like,
                pattern=code,
                molds_per_year=around(volume, 0.15),
                extra_molds_per_year=more,
                runs_per_year=runs,
                hold_chance=0.8 if k % 5 == 1 else 1.0,
            )
        )
        for method in ("manual", "core setter"):
            seconds = SECONDS[like.pattern, method] * rng.uniform(0.9, 1.1)
            draws = 3600 / (seconds * rng.normal(1, 0.02, 200))
            known.append(SimpleNamespace(pattern=code, method=method, molds_per_h=3600 / seconds, draws=draws))
    line = Line(shifts_per_day=1, days_per_year=days, hours_per_shift=8, saved_hours_used=True)
    return replace(
        case, patterns=tuple(made), line=line, cores=(), money=money(**{"overtime_limit_h_per_year": 1e6, **changes})
    ), tuple(known)


def scales(count, seed, *, draws=300, **changes):
    """Sample, plan and way of such a plant."""
    case, known = grown(count, seed, **changes)
    return case, draw(case, known, (), draws=draws, seed=seed), plan(case, known), ways(case, known)[0]


@pytest.mark.parametrize("seed, days", [(0, 260), (1, 190), (2, 215), (3, 225), (4, 240), (5, 275), (6, 260)])
def test_one_pattern_beside_the_rest_equals_the_whole_year_twice(seed, days):
    """What is looked up for one pattern is the difference of two whole years, calculated pattern by pattern.

    Of the chosen sets one is empty and one is a single pattern; every other pattern saves scrap as well.
    """
    case, sample, facts, way = scales(9, seed, days=days)
    sample = sample.changed({f"scrap.{code}": 0.002 * k for k, code in enumerate(facts.patterns) if k % 2})
    chosen = (np.random.default_rng(seed).random((9, 1)) < (0.5 if seed else 0.0)).astype(float)
    chosen = (np.arange(9)[:, None] == 4).astype(float) if seed == 6 else chosen
    summed = chosen_set(sample, facts, way, case.money, chosen)
    for i, code in enumerate(facts.patterns):
        volume, runs = np.asarray(sample[f"molds_per_year.{code}"]) * 1.7, np.full(sample.n, 33.0)
        changed = sample.changed({f"molds_per_year.{code}": volume, f"runs.{code}": runs})
        naive = np.zeros(sample.n)
        for goes, sign in ((1.0, 1), (0.0, -1)):
            column = chosen.copy()
            column[i] = goes
            items = year(changed, facts, way, column).items
            others = chosen.sum() - chosen[i, 0] > 0
            left_out = {"mask_repair"} | ({"maintenance", "floor_space", "injury", "lease"} if others else set())
            naive += sign * sum(value for name, value in items.items() if name not in left_out)
        got = saved(summed, [i], volume=volume[None], runs=runs[None])[0]
        assert got == pytest.approx(naive, rel=1e-9, abs=1e-6)


def singles_and_shared(sample, facts, way, money):
    """Worth, cost and hours of each pattern by itself and of the machine, as a naive reader would take them apart."""
    from coreset.money.cash_flow import cash_flow
    from coreset.money.discount import npv

    count, centre = len(facts.patterns), sample.centre()

    def weighed(chosen):
        flow = cash_flow(centre, facts, way, money, np.asarray(chosen, dtype=float)[:, None])
        return float(npv(flow.total, money.discount_rate)[0]), float(flow.first_cost[0]), float(flow.line_hours[0])

    alone = np.array([weighed(row) for row in np.eye(count)])
    pair = np.array(weighed(np.arange(count) < 2))
    return alone - (alone[0] + alone[1] - pair), weighed


@pytest.mark.parametrize("count, seed", [(17, 1), (19, 2), (21, 3), (25, 4)])
def test_programmed_sets_keep_limits_and_beat_every_neighbour(count, seed):
    """17 to 25 patterns under a budget and few places: limits kept, and no exchange of two does better at the means."""
    case, sample, facts, way = scales(count, seed, budget=330_000, mask_places=8)
    found = best_mix(sample, facts, way, case.money)
    _, weighed = singles_and_shared(sample, facts, way, case.money)
    assert found.how == "program" and not found.needs and found.unproved == 0
    assert len(found.sets) == 5 and len({row.patterns for row in found.sets}) == 5
    best = -np.inf
    for row in found.sets:
        worth, cost, hours = weighed([code in row.patterns for code in facts.patterns])
        assert cost <= 330_000 and hours <= facts.hours_available + facts.overtime_h and 0 < len(row.patterns) <= 8
        assert (row.first_cost, row.line_hours) == pytest.approx((cost, hours))
        best = max(best, worth)
    chosen = found.chosen[:, 0]
    for i in range(count):
        for j in range(i, count):
            other = chosen.copy()
            other[[i, j]] = 1 - other[[i, j]]
            worth, cost, hours = weighed(other)
            if cost <= 330_000 and hours <= facts.hours_available + facts.overtime_h and 0 < other.sum() <= 8:
                assert worth <= best + 1e-6


@pytest.mark.parametrize("seed", range(12))
def test_programs_of_17_to_25_equal_dynamic_programming(seed):
    """Whole-number weights under one capacity: the textbook table of the 0/1 knapsack gives the same worth.

    Own table by Bellman's recursion (common practice, no source); forced candidates are in, the limit is kept.
    """
    rng = np.random.default_rng(seed)
    count = int(rng.integers(17, 26))
    worth, weight = rng.integers(-20, 100, count), rng.integers(1, 60, count)
    capacity, forced = int(weight.sum() * rng.uniform(0.2, 0.7)), [int(np.argmin(weight))]
    table = np.full(capacity + 1, -np.inf)
    table[weight[forced[0]] :] = worth[forced[0]]
    for k in (k for k in range(count) if k not in forced):
        taken = np.full(capacity + 1, -np.inf)
        taken[weight[k] :] = table[: capacity + 1 - weight[k]] + worth[k]
        table = np.maximum(table, taken)
    chosen = by_program(worth, weight[None], [capacity], forced)
    assert worth @ chosen == table[-1] and chosen[forced].all() and kept(weight[None], [capacity], chosen)


def test_a_set_without_proof_says_so(monkeypatch):
    """Where the solver's time passes, its best set is checked, bettered and used, and a note says what is open."""
    import scipy.optimize

    def late(c, **_):
        x = np.zeros(len(c))
        x[0] = 1.0
        return SimpleNamespace(x=x, status=1, fun=c[0], mip_dual_bound=c[0] - 500.0)

    monkeypatch.setattr(scipy.optimize, "milp", late)
    with pytest.raises(NotProved, match="must be proved best within 20 s, got no proof") as refused:
        by_program([3, 1], [[1, 1]], [2])
    assert refused.value.more == 500 and refused.value.chosen.tolist() == [True, False]
    case, known = grown(17, 1)
    found = weigh(case, standards(), (), known, screened(), draws=300)
    assert [note.blanks for note in found.notes if note.code == "set_not_proved"] == [{"more": 500.0}]
    assert len(found.chosen) > 1


def test_no_set_and_no_proof_in_time_is_refused(monkeypatch):
    """Where the solver's time passes without any set, nothing is chosen in its stead."""
    import scipy.optimize

    monkeypatch.setattr(scipy.optimize, "milp", lambda *_, **__: SimpleNamespace(x=None, status=1, mip_dual_bound=None))
    case, known = grown(17, 1)
    with pytest.raises(NotProved, match="must be proved best within 20 s, got no proof") as refused:
        weigh(case, standards(), (), known, screened(), draws=100)
    assert refused.value.chosen is None and refused.value.more == np.inf


def test_index_only_for_the_inputs_that_matter_most():
    """With over 40 uncertain inputs the 40 that matter most get an index, the widest bars among them."""
    case, known = grown(17, 2)
    found = weigh(case, standards(), (), known, screened(), draws=600)
    indexed = [row for row in found.drivers if np.isfinite(row.total_order)]
    assert len(indexed) == 40 < len(found.drivers)
    assert {row.name for row in found.drivers[:15]} <= {row.name for row in indexed}
