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
from coreset.money.waiting import Waiting, worth_of_waiting
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


def test_the_verdict_hears_that_waiting_is_worth_more(monkeypatch):
    """The same purchase, likely to pay: not yet decided, in at most 25 words; buying now stays where it is better."""
    a = changed(money={"payback_limit_years": 12.0})
    assert a.verdict.level == "buy_if_proven" and not a.money.waiting.better
    later = Waiting(now=a.money.npv, wait=a.money.npv + 1_000.0, early_ends=())
    a = changed(money={"payback_limit_years": 12.0})
    monkeypatch.setitem(vars(a.money), "waiting", later)
    assert a.verdict.level == "not_decided" and "waiting a year" in decision(a)
    assert len(decision(a).split()) <= 25
    assert demo().money.waiting.wait < demo().money.npv
