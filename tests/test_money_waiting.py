"""Buying now or in a year: a printed example, the same by hand for a setter, and the verdict that hears it."""

from dataclasses import replace

import numpy as np
import pytest
from plant import SECONDS, mold_cycles, plant, screened, standards
from test_money_ways import FULL, exactly, timed

from coreset.case import Range
from coreset.decision.headline import decision
from coreset.decision.recommendation import over_time
from coreset.money.evaluate import weigh
from coreset.money.waiting import worth_of_waiting
from tests.test_decision import changed, demo


def annuity(years, rate):
    """Present value of 1 a year."""
    return (1 - (1 + rate) ** -years) / rate


def two(up, down, p_up, runs=1_000):
    """Runs of an outcome that is one of two."""
    count = round(p_up * runs)
    return np.array([up] * count + [down] * (runs - count), dtype=float)


def test_a_widget_factory_is_worth_more_a_year_later():
    """Dixit and Pindyck, Investment under Uncertainty, 1994, chapter 2: 600 now, 773 after a year.

    It costs 1,600 and makes one widget a year for ever, the first at once; the price, 200 now, is 300 or 100 from next
    year on, one as likely as the other; 10 %.
    """
    price, rate = two(300.0, 100.0, 0.5), 0.10
    now = -1_600 + 200 + price.mean() / rate
    assert now == pytest.approx(600)
    assert worth_of_waiting(-1_600 + price + price / rate, price, rate) == pytest.approx(773, abs=0.5)


@pytest.mark.parametrize(("years", "expected"), [(8, 61_700.45), (7, 45_125.05)])
def test_a_setter_bought_a_year_later_by_hand(years, expected):
    """220,000 for 60,000 (60 %) or 25,000 a year, 9 %: for 8 years from its purchase, or only while a program lasts."""
    saving = two(60_000.0, 25_000.0, 0.6)
    found = worth_of_waiting(saving * annuity(years, 0.09) - 220_000, saving, 0.09)
    assert found == pytest.approx(0.6 * (60_000 * annuity(years, 0.09) - 220_000) / 1.09)
    assert found == pytest.approx(expected, abs=0.01)


def test_where_nothing_is_uncertain_waiting_costs_a_year_of_interest():
    """The same worth a year later; and less where a program ends meanwhile, by what its last year brings."""
    found = certain()
    assert found.waiting.now == pytest.approx(found.npv) and found.npv > 0
    assert found.waiting.wait == pytest.approx(found.npv / (1 + found.discount_rate))
    ending = certain(ends_after_year=6)
    assert ending.waiting.wait < ending.npv / (1 + ending.discount_rate)


def certain(price=20_000.0, **program):
    """The invented plant with every input exact; one pattern's program may end."""
    case = exactly(plant(line=replace(FULL, saved_hours_used=False)))
    patterns = tuple(replace(p, **program) if p.pattern == "BOX" else p for p in case.patterns)
    money = replace(case.money, setter_price=Range.exactly(price))
    case = replace(case, patterns=patterns, money=money)
    return weigh(case, standards(), mold_cycles(), timed(SECONDS), screened(), draws=50)


def test_a_program_that_must_not_end_early_is_found():
    """Ended a year before the years that are named, the purchase loses; after them it does not."""
    found = certain(price=120_000.0)
    first = found.waiting.early_ends[0]
    assert first.pattern == "BOX" and 1 < first.years <= 10
    short = {end: certain(price=120_000.0, ends_after_year=end).npv for end in (first.years - 1, first.years)}
    assert short[first.years - 1] < 0 <= short[first.years]
    assert any("BOX" in line for line in over_time(found))


@pytest.mark.parametrize("years", [9, 10, 11])
def test_a_program_that_ends_is_over_a_year_sooner_for_who_waits(years):
    """Bought now the setter runs ten years; who waits loses the eleventh, unless the program reaches it."""
    lasting, ending = certain(), certain(ends_after_year=years)
    lost = lasting.waiting.wait - ending.waiting.wait
    assert (lost > 0) == (years < 11) and (lasting.npv > ending.npv) == (years < 10)


def test_molds_typed_for_each_year_wait_as_growth_does():
    """44,000 rising by 4 % a year, typed or by its growth: the same worth now, and of a year later."""
    typed = certain(molds_by_year=tuple(40_000 * 1.04**year for year in range(11)))
    grown = certain(volume_growth=0.04)
    assert typed.npv == pytest.approx(grown.npv) and typed.waiting.wait == pytest.approx(grown.waiting.wait)
    assert typed.waiting.wait != pytest.approx(certain().waiting.wait, rel=0.01)


def demo_with(programs, **facts):
    """The demo within a payback limit that it meets, with other programs by pattern."""
    patterns = tuple(replace(p, **programs.get(p.pattern, {})) for p in demo().case.patterns)
    return changed(money={"payback_limit_years": 12.0}, patterns=patterns, **facts)


CHOSEN = ("HB10", "MF15", "VB24")


@pytest.mark.slow
def test_the_verdict_hears_that_waiting_is_worth_more():
    """Programs that all start in year 2: buying now leaves the setter idle for a year, and the sentence says so."""
    now, later = demo_with({}), demo_with(dict.fromkeys(CHOSEN, {"starts_in_year": 2}))
    assert set(now.verdict.option.patterns) <= set(CHOSEN)
    assert now.verdict.level == "buy_if_proven" and not now.money.waiting.better
    assert later.money.waiting.better and later.verdict.level == "not_decided"
    assert "waiting a year" in decision(later) and len(decision(later).split()) <= 25


def test_the_verdict_hears_that_a_program_ends_early():
    """Below the years that are named the purchase loses at the base case; the sentence and its figures follow."""
    whole = demo_with({})
    first = whole.money.waiting.early_ends[0]
    assert any(f"{first.pattern} is made for {first.years} years" in line for line in over_time(whole.money))
    short, enough = (demo_with({first.pattern: {"ends_after_year": first.years - back}}) for back in (1, 0))
    assert short.money.npv < enough.money.npv < whole.money.npv
    assert short.verdict.level != "buy_if_proven" and decision(short) != decision(whole)


def test_the_verdict_hears_that_patterns_go_over_later():
    """The pattern that carries the purchase goes over in year 5: its masks are bought later, its saving is lost."""
    whole = demo_with({})
    carries = max(whole.money.patterns, key=lambda row: row.saving_per_year).pattern
    late = demo_with({carries: {"goes_over_in_year": 5}})
    assert late.money.npv < whole.money.npv and late.money.first_cost < whole.money.first_cost
    assert late.money.payback_years > whole.money.payback_years
    assert late.verdict.level != whole.verdict.level and decision(late) != decision(whole)
