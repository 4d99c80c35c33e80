"""Figures that were drawn: their working is redone from the draws that leave the tool, by pandas and by hand."""

import math
from functools import cache

import numpy as np
import pytest
from drawn_figures import REL, found, numbers, table

from coreset.brief.content import content
from coreset.line.report import working
from coreset.money.report.chance_working import chances
from coreset.report.run_working import result
from coreset.sources import STATUSES
from coreset.study.report import standard_data
from coreset.study.report import working as working_study
from coreset.text import say


@cache
def lines():
    """The working of the money's draws by what it is of."""
    made = chances(found().money)
    assert len({line.what for line in made}) == len(made)
    return {line.what: line for line in made}


@pytest.mark.slow
def test_chances_are_counts_of_the_draws():
    """Counted in the file: draws above nothing, draws back in time; the quotient is the decision's chance."""
    money, drawn_money = found().money, table("money")
    back = drawn_money.payback_years.fillna(math.inf)
    limit = money.payback_limit_years
    hits = {"chance of NPV above 0": (drawn_money.npv > 0).sum()}
    hits[f"chance of payback: within {limit:g} years"] = (back <= limit).sum()
    for what, count in hits.items():
        assert numbers(lines()[what].numbers) == [count, len(drawn_money)]
    years = [line for what, line in lines().items() if "by the end of year" in what]
    assert len(years) > 3
    for line in years:
        year = int(line.what.rsplit(" ", 1)[1])
        assert numbers(line.numbers) == [(back <= year).sum(), len(back)]
        assert line.value == pytest.approx(100 * dict(money.payback_curve)[year])
    assert lines()["chance of NPV above 0"].value == pytest.approx(100 * money.chance_npv_positive)
    assert lines()[f"chance of payback: within {limit:g} years"].value == pytest.approx(100 * money.chance_payback)


@pytest.mark.parametrize(
    "what, column, spread",
    [
        ("annual saving, year-0 prices", "saving_per_year", "yearly_saving"),
        ("net present value", "npv", "npv_spread"),
        ("simple payback", "payback_years", "payback_spread"),
        ("discounted payback", "discounted_payback_years", "discounted_payback_spread"),
    ],
)
def test_intervals_are_draws_in_order(what, column, spread):
    """The file sorted: the draw at the place that the working names is the end of the decision's interval."""
    order = table("money")[column].sort_values(na_position="last").fillna(math.inf).to_numpy()
    for end in ("low", "high"):
        line, told = lines()[f"{what}: {end} end of 80 %"], getattr(getattr(found().money, spread), end)
        place, count = numbers(line.numbers)
        assert count == len(order) and place == 1 + math.ceil({"low": 0.1, "high": 0.9}[end] * (count - 1))
        assert line.value == told and order[int(place) - 1] == pytest.approx(told, rel=REL)


def test_sums_of_the_draws_are_the_means():
    """Saving, both losses, best of each draw and best mean: sum and count in the working, the same from the file."""
    money, drawn_money = found().money, table("money")
    worth = drawn_money[[name for name in drawn_money if name.startswith("npv ")]].to_numpy()
    worth = np.column_stack([np.zeros(len(worth)), worth])
    sums = {
        "annual saving, year-0 prices": (drawn_money.saving_per_year.sum(), money.yearly_saving.mean),
        "expected loss over all runs, if bought": (drawn_money.npv.clip(upper=0).abs().sum(), money.loss_if_bought),
        "expected gain given up over all runs, if not bought": (drawn_money.npv.clip(lower=0).sum(), money.loss_if_not),
        "best choice of each simulation run, mean": (worth.max(axis=1).sum(), None),
        f"best choice on the mean: {money.candidate}": (worth.sum(axis=0).max(), None),
    }
    for what, (total, value) in sums.items():
        line = lines()[what]
        said, count, *_ = numbers(line.numbers)
        assert said == pytest.approx(total, rel=1e-6, abs=1) and count == len(drawn_money)
        assert said / count == pytest.approx(line.value, abs=1e-3)
        assert value is None or line.value == pytest.approx(value, rel=1e-12)
    best, fixed = (lines()[what].value for what in list(sums)[3:])
    line = lines()["value of perfect information"]
    assert line.value == money.evpi == pytest.approx(best - fixed, rel=1e-9)
    first, second = (abs(each) for each in numbers(line.numbers.replace(" − ", " ; ")))
    assert first - second == pytest.approx(money.evpi, abs=1)
    counts = numbers(lines()["best choice of each simulation run, mean"].numbers)[2:]
    assert sum(counts) == len(worth) and counts[0] == (worth.argmax(axis=1) == 0).sum()


def test_single_patterns_are_drawn_on_the_first_draws():
    """Low end, middle and high end of saving, run and volume are those of the page's table."""
    drawn_patterns, seen = table("patterns"), 0
    for row in found().money.patterns:
        told = {
            "saving": (f"{row.pattern}: annual saving", row.saving_low, row.saving_high),
            "run": (f"{row.pattern}: run it pays from", row.break_even_run_low, row.break_even_run_high),
            "volume": (
                f"{row.pattern}: yearly volume it pays from",
                row.break_even_year_low,
                row.break_even_year_high,
            ),
        }
        for name, (what, *ends) in told.items():
            line = lines().get(f"{what}; low, middle, high")
            if line is None:
                assert ends[0] == math.inf
                continue
            order = np.sort(drawn_patterns[f"{name} {row.pattern}"].dropna())
            places = numbers(line.numbers)[:3]
            if all(map(math.isfinite, ends)):
                picked = [order[int(place) - 1] for place in places]
                assert [picked[0], picked[2]] == pytest.approx(ends, rel=REL) and picked[1] == pytest.approx(line.value)
                seen += 1
        mean = lines()[f"{row.pattern}: annual saving"]
        assert mean.value == pytest.approx(row.saving_per_year, rel=1e-12)
        assert numbers(mean.numbers)[0] / numbers(mean.numbers)[1] == pytest.approx(mean.value, abs=1e-2)
    assert seen > 6


def redone(line, order):
    """An end on the straight line between two draws, from the places that the working names."""
    first, share, higher, lower, place, after, count = (abs(each) for each in numbers(line.numbers))
    assert after == place + 1 and count == len(order) and first == lower
    two = order[int(place) - 1], order[int(place)]
    assert (first, higher) == pytest.approx(two, rel=1e-4)
    return two[0] + share * (two[1] - two[0])


def test_ends_of_standards_cycles_and_rates_lie_between_two_draws():
    """Standard page, Line page: the two draws and the share between them give both ends of every interval."""
    a, checked = found(), 0
    for row in a.standards:
        made = working_study.of_standard(row, seed=a.seed) or standard_data.of_estimate(
            a.case, row, a.pooled, seed=a.seed
        )
        ends = [line for line in made if line.formula.startswith("x(1 + q (n−1)), q")]
        order = np.sort(table("standards_s")[row.study or f"{row.pattern} {row.method}"])
        assert [line.value for line in ends] == pytest.approx([row.standard_low_s, row.standard_high_s], rel=1e-12)
        assert [redone(line, order) for line in ends] == pytest.approx([line.value for line in ends], rel=1e-5)
        checked += len(ends)
    for name, rows, made, shown in (
        ("molds_per_h", a.line, lambda row: working.rates(a.case, [row], seed=a.seed), ("low", "high")),
        ("mold_cycles_s", a.mold_cycles, lambda row: working.cycles([row], seed=a.seed), ("low_s", "high_s")),
    ):
        for row in rows:
            ends = [line for line in made(row) if "% " not in line.what and ", 95 %" in line.what]
            order = np.sort(table(name)[f"{row.pattern} {row.method}"])
            assert [line.value for line in ends] == pytest.approx([getattr(row, each) for each in shown], rel=1e-12)
            assert [redone(line, order) for line in ends] == pytest.approx([line.value for line in ends], rel=1e-5)
            checked += len(ends)
    assert checked >= 2 * (len(a.standards) + len(a.line) + len(a.mold_cycles))


def test_mean_and_slowest_tenth_of_a_mold_cycle_are_of_its_draws():
    """The mean over the resampled studies; nine in ten of single cycles by numpy."""
    for row in found().mold_cycles:
        made = {line.what.partition(": ")[2]: line for line in working.cycles([row])}
        assert made["mean of the simulation runs"].value == pytest.approx(row.mean_s, rel=1e-12)
        assert (
            made["nine in ten cycles under"].value
            == pytest.approx(row.p90_s, rel=1e-12)
            == np.quantile(row.sample_s, 0.9)
        )


def test_every_line_names_its_seed_and_stands_on_the_page_and_in_the_long_form():
    """What is drawn can be drawn again: each line says with which seed."""
    told = {row[1:4] for block in content(found(), {}, full=True).annex for row in block.rows}
    for line in lines().values():
        assert line.where == f"simulation runs with seed {found().seed}"
        assert (
            line.formula,
            *(cell.replace(" %", "\N{NO-BREAK SPACE}%") for cell in (line.numbers, result(line))),
        ) in told


def test_every_publication_in_the_long_form_has_a_status():
    """A line of working that rests on memory is told so in the list of publications, also where it has no table."""
    annex = content(found(), {}, full=True).annex
    status = {row[0]: row[-2] for row in annex[-1].rows[1:]}
    assert status["montgomery1982"] == status["raiffa1961"] == say("front.status.memory")
    assert set(status.values()) <= {say(f"front.status.{name}") for name in STATUSES}


def test_the_loss_of_the_runs_that_lose_is_worked():
    """Count and sum of the runs of the file with a negative worth, the mean of those, and what the decision says."""
    money, losing = found().money, table("money").npv[table("money").npv < 0]
    assert len(losing) > 0
    chance, loss = lines()["chance that the purchase loses money"], lines()["average loss in the runs that lose"]
    assert numbers(chance.numbers)[0] == len(losing)
    assert chance.value == pytest.approx(100 * money.chance_npv_negative)
    total, count, *_ = numbers(loss.numbers)
    assert count == len(losing) and total == pytest.approx(-losing.sum(), rel=1e-6, abs=1)
    assert loss.value == pytest.approx(money.mean_loss_if_it_loses)
