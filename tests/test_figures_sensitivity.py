"""Sensitivity at fixed values: break-evens put back in give the goal, and known ones are met."""

import numpy as np
import pytest
from figures_cases import SIZE, ZERO, demo_inputs

from coreset.figures import Size, evaluate
from coreset.money.figures import MODEL
from coreset.money.sensitivity import SensitivityInput, at, break_even, highest_price

SINGLE = (
    "hours_saved_paid",
    "wage_per_h",
    "operators_proposed",
    "setter_price",
    "discount_rate",
    "maintenance_per_year",
)


def entries():
    """Some numbers of the demo with the limits of their search."""
    inputs = demo_inputs()
    found = {SensitivityInput(key): (0.0, 1.0 if inputs[key] < 1 else 10 * inputs[key]) for key in SINGLE}
    return found | {
        SensitivityInput("molds_per_year", i): (0.0, 5 * inputs["molds_per_year"][i]) for i in range(SIZE.patterns)
    }


def test_break_evens_put_back_in_are_worth_nothing():
    """Each value found makes NPV 0; the values of the demo were found apart from this program."""
    found = break_even(MODEL, demo_inputs(), SIZE, entries())
    known = {entry: value for entry, value in found.items() if not np.isnan(value)}
    worth = at(MODEL, demo_inputs(), SIZE, list(known), list(known.values()), ["npv"])["npv"]
    assert np.abs(worth).max() < 0.01
    assert len(known) >= 7
    expected = {
        "hours_saved_paid": (0.617, 0.002),
        "wage_per_h": (18.05, 0.05),
        "operators_proposed": (1.29, 0.01),
        "setter_price": (304_367, 600),
        "discount_rate": (0.179, 0.001),
    }
    for key, (value, near) in expected.items():
        assert found[SensitivityInput(key)] == pytest.approx(value, abs=near)
    irr = evaluate(MODEL, demo_inputs(), SIZE, keep=["irr"])["irr"].item()
    assert found[SensitivityInput("discount_rate")] == pytest.approx(irr, abs=1e-9)


def test_no_crossing_is_an_answer():
    """Maintenance up to 10 % more cannot turn the demo, and nothing outside the limits is searched."""
    inputs = demo_inputs()
    high = 1.1 * inputs["maintenance_per_year"]
    assert np.isnan(
        break_even(MODEL, inputs, SIZE, {SensitivityInput("maintenance_per_year"): (0.0, high)})[
            SensitivityInput("maintenance_per_year")
        ]
    )


def test_highest_price_of_a_printed_example():
    """185,000 and 28,000 for 55,000 a year, tax 25 %, straight line 10, 9 %: computed apart from this program."""
    inputs = dict.fromkeys(ZERO, 0.0) | {key: 0.0 for key, each in MODEL.inputs.items() if each.default is None}
    inputs |= {
        "setter_price": 185_000.0,
        "installation": 28_000.0,
        "injury_cost_per_year": 55_000.0,
        "tax_rate": 0.25,
        "discount_rate": 0.09,
        "write_off_share": np.full(10, 0.1),
        "rate_today": 1.0,
        "rate_proposed": 1.0,
        "moved": 1.0,
        "runs_counted": 1.0,
        "shifts_per_day": 1.0,
    }
    size = Size(patterns=1, years=10)
    found = highest_price(MODEL, inputs, size, payback_limit_years=4, budget=200_000)
    assert found.for_npv == pytest.approx(287_318.54, abs=0.01)
    assert found.for_payback == pytest.approx(155_333.33, abs=0.01)
    assert found.for_budget == pytest.approx(172_000, abs=0.01)
    assert found.lowest == found.for_payback
    open_ended = highest_price(MODEL, inputs, size, payback_limit_years=0)
    assert np.isnan(open_ended.for_payback) and np.isnan(open_ended.for_budget)
    assert open_ended.unmet == () and open_ended.lowest == open_ended.for_npv
    poor = highest_price(MODEL, inputs, size, payback_limit_years=1, budget=0.0)
    assert poor.unmet == ("budget",) and np.isnan(poor.lowest), "28,000 to install it: at no price within a budget of 0"
    early = highest_price(MODEL, inputs, size, payback_limit_years=0.1, budget=200_000)
    assert early.unmet == ("payback",) and np.isnan(early.lowest)
