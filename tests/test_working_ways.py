"""What stands beside the decision: redone from the draws that leave the tool, by pandas, numpy and by hand."""

import math
import re
from functools import cache

import numpy as np
import numpy_financial
import pytest
from drawn_figures import REL, found, numbers, table

from coreset.brief.content import content
from coreset.money.report.alternative_working import beside, claims, inputs, volumes, ways
from coreset.report.run_working import result


@cache
def lines():
    """Every line by what it is of."""
    made = beside(found().money)
    assert len({line.what for line in made}) == len(made)
    return {line.what: line for line in made}


def of(rows, draws):
    """Rows of the decision, each with the column of the file that it was drawn in."""
    return [(row, table(draws)[f"npv {row.name}"]) for row in rows]


def test_a_choice_is_the_mean_the_order_and_the_count_of_its_draws():
    """Each way and each volume: mean, both ends and chance, from the file and against what the tables show."""
    money = found().money
    for made, rows in (
        (ways(money), of(money.alternatives, "money")),
        (volumes(money), of(money.scenarios, "volumes")),
    ):
        names = list(dict.fromkeys(line.what.partition(": ")[0] for line in made))
        for name, (row, draws) in zip(names, rows, strict=True):
            mean, low, high, sure = [line for line in made if line.what.startswith(f"{name}: ")][:4]
            total, count = numbers(mean.numbers)
            assert count == len(draws) and total == pytest.approx(draws.sum(), rel=1e-6, abs=1)
            assert mean.value == pytest.approx(draws.mean(), rel=REL)
            assert mean.value == pytest.approx(row.npv.mean, rel=1e-12)
            order = np.sort(draws)
            for line, told in ((low, row.npv.low), (high, row.npv.high)):
                assert order[int(numbers(line.numbers)[0]) - 1] == pytest.approx(line.value, rel=REL)
                assert line.value == told
            assert numbers(sure.numbers) == [(draws > 0).sum(), len(draws)]
            assert sure.value == pytest.approx(100 * row.chance_npv_positive)


def test_payback_of_a_mean_flow_by_hand():
    """Last year that is short, then the share of the next year's flow that is still wanted; its worth by a library."""
    money = found().money
    back = [line for line in lines().values() if line.what.endswith("simple payback, base case")]
    rows = [row for row in (*money.alternatives, *money.scenarios) if math.isfinite(row.payback_years)]
    assert len(back) == len([row for row in rows if row.payback_years > 0]) > 2
    for line in back:
        years, short, gained = numbers(line.numbers)
        assert line.value == pytest.approx(years + short / gained, abs=1e-4)
    for row in (*money.alternatives, *money.scenarios):
        worth = numpy_financial.npv(money.discount_rate, row.flow)
        assert worth == pytest.approx(row.base_npv, rel=1e-9, abs=0.01)


def test_the_worth_of_each_choice_is_redone_from_the_printed_flow():
    """Base case of each option and volume: each year's amount over its printed factor, to half a unit a term."""
    money = found().money
    made = [line for line in lines().values() if line.what.endswith("net present value, base case")]
    rows = (*money.alternatives, *money.scenarios)
    for line, row in zip(made, rows, strict=True):
        terms = re.findall(r"([+−]) ([\d\s]+)/([\d.]+)\^(\d+)", line.numbers)
        worth = [(-1 if sign == "−" else 1) * int("".join(c.split())) / float(f) ** int(t) for sign, c, f, t in terms]
        assert len(worth) == len(row.flow) and line.value == row.base_npv
        assert sum(worth) == pytest.approx(row.base_npv, abs=0.5 * len(worth) + 1)


def test_the_share_of_an_input_is_the_quotient_of_its_working():
    """q over s: squared and halved it is the figure beside the bar, to its two digits and more."""
    shares = [line for line in lines().values() if line.what.endswith("part in the uncertainty")]
    told = [row for row in found().money.drivers if math.isfinite(row.total_order)]
    assert len(shares) == len(told) > 20
    for line, row in zip(shares, told, strict=True):
        moved, twice, spread = numbers(line.numbers)
        assert twice == 2 and moved**2 / (2 * spread**2) == pytest.approx(line.value, abs=1e-4)
        assert line.value == row.total_order


def test_what_knowing_an_input_is_worth_is_a_difference_of_two_means():
    """The best choice as foretold from the input, less the best on the mean; the latter from the file of draws."""
    money, worth = found().money, table("money")
    best = max(0.0, *(worth[f"npv {row.name}"].mean() for row in money.alternatives))
    known = [line for line in inputs(money) if line.what.endswith("value of information")]
    assert len(known) == sum(row.above_noise for row in money.knowing) > 0
    for line in known:
        foretold, fixed = (abs(each) for each in numbers(line.numbers.replace(" − ", " ; ")))
        assert fixed == pytest.approx(best, abs=1)
        assert foretold - fixed == pytest.approx(line.value, abs=1)


def test_the_claim_is_counted_in_the_cycles_that_were_drawn():
    """Resampled means no longer than the claim, in the file of mold cycles; a claim that is met at times."""
    money, cycles = found().money, table("mold_cycles_s")
    for line, row in zip(claims(money), money.claims, strict=True):
        drawn_s = cycles[f"{row.pattern} {money.candidate}"]
        assert numbers(line.numbers) == [(drawn_s <= row.claimed_s).sum(), len(drawn_s)]
        assert line.value == pytest.approx(100 * row.chance_met)
    assert len(money.claims) == 5


def test_all_of_it_stands_in_the_long_form_with_its_seed():
    """Each line that is drawn says with which seed; each stands in the annex."""
    told = {row[1:4] for block in content(found(), {}, full=True).annex for row in block.rows}
    for line in lines().values():
        shown = (line.numbers, result(line))
        assert (line.formula, *(cell.replace(" %", "\N{NO-BREAK SPACE}%") for cell in shown)) in told
        assert line.where == f"simulation runs with seed {found().seed}" or line.what.endswith(", base case")
