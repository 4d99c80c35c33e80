"""The language of formulas: what it holds, what it refuses and by which name, and the units of every formula."""

import pytest
from figures_cases import SIZE, demo_inputs
from figures_units import UnitError, check

from coreset.figures import Figure, FormulaError, Input, Model, evaluate
from coreset.money.figures import FIGURES, MODEL
from coreset.money.inputs import INPUTS

SOME = (
    Input("price", "currency", "price"),
    Input("molds", "mold", "molds", "p"),
    Input("share", "1", "share", "y"),
    Input("pairs", "1", "pairs", "pq"),
)


@pytest.mark.parametrize(
    "formula",
    [
        "price.real",
        "open('x')",
        "__import__('os')",
        "(lambda: 1)()",
        "[price for price in (1, 2)]",
        "f'{price}'",
        "price % 2",
        "price // 2",
        "(x := price)",
        "price if price > 0 else 'none'",
        "0 < price < 1",
        "price == 1 == 1",
        "not price",
        "True",
        "price[0]",
        "max(price)",
        "max(price, price, key=price)",
        "log(price, 2)",
        "round(price)",
        "price * 60",
        "price - 1e-9",
        "1j",
        "price; price",
        "import os",
        "",
        "{price}",
        "*price",
        "price is 0",
        "every('nothing')",
        "every(price)",
        "over_patterns(max(molds, 0))",
        "over_patterns(molds if molds > 0 else 0)",
    ],
)
def test_what_is_outside_the_language_is_refused_by_name(formula):
    """No attribute, call, text, comprehension, chained comparison, bare number, or condition inside a sum."""
    with pytest.raises(FormulaError, match="^worth: "):
        Model((*SOME, Figure("worth", "currency", "worth", formula)))


@pytest.mark.parametrize(
    ("formula", "what"),
    [
        ("over_patterns(price)", "terms by pattern"),
        ("over_years(molds)", "terms by year"),
        ("cumulative(price)", "terms by year"),
        ("timeline(share, share)", "a value of now"),
        ("timeline(price, price)", "values by year"),
        ("npv(price, share)", "a flow on the timeline"),
        ("met(molds, molds, molds)", "pairs"),
        ("ahead(molds, price)", "an order by pattern"),
        ("pairs * molds", "pairs of patterns"),
        ("timeline(price, share) + share", "only timeline"),
        ("period * year", "only timeline"),
        ("price * unknown", "no figure or input is named 'unknown'"),
        ("worth + 1", "circle"),
    ],
)
def test_sums_over_missing_axes_mixed_times_unknown_names_and_circles(formula, what):
    """Each names the figure and what was needed."""
    with pytest.raises(FormulaError, match=f"^worth: .*{what}"):
        Model((*SOME, Figure("worth", "currency", "worth", formula)))


def test_a_circle_is_shown_as_a_chain():
    """All that rest on each other are named."""
    with pytest.raises(FormulaError, match="a_one -> .*b_two|b_two -> .*a_one"):
        Model((Figure("a_one", "1", "one", "b_two + 1"), Figure("b_two", "1", "two", "a_one * 2")))


@pytest.mark.parametrize(
    "key", ["tax2024", "r", "c", "r1c1", "true", "Price", "max", "year", "lambda", "2nd", "a-b", ""]
)
def test_keys_that_a_sheet_or_the_language_would_misread(key):
    """Like a cell, like a word of the language, or no plain name."""
    with pytest.raises(FormulaError):
        Model([Input(key, "1", "misread")])


def test_a_key_is_declared_once():
    """Twice is refused, as input or as figure."""
    with pytest.raises(FormulaError, match="price: declared twice"):
        Model((*SOME, Figure("price", "currency", "again", "1")))


def test_units_of_every_formula_are_those_declared():
    """Terms of a sum are equal in kind and scale; an hour is not a minute."""
    check(MODEL)


@pytest.mark.parametrize(
    ("key", "old", "new"),
    [
        ("line_hours_today", "volume * mold_hours_today", "volume * rate_today"),
        ("pay", "wage_per_h * employer_factor", "wage_per_h * line_crew"),
        ("mask_change_h", "mask_change_min / minutes_per_hour", "mask_change_min / 1"),
        ("air", " / liters_per_m3", ""),
        ("crew_today", "line_crew + operators_today", "line_crew * operators_today"),
        ("labour", "person_hours_not_paid * pay", "hours_saved * pay"),
        ("masks", "masks_each * over_patterns(mask_cost * moved", "masks_each * over_patterns(molds_per_year * moved"),
    ],
)
def test_a_wrong_unit_is_found(key, old, new):
    """Slips put in on purpose; each stops with the figure's key."""
    from dataclasses import replace

    wrong = [replace(f, formula=f.formula.replace(old, new)) if f.key == key else f for f in FIGURES]
    assert wrong != list(FIGURES)
    with pytest.raises(UnitError, match=f"^{key}"):
        check(Model((*INPUTS, *wrong)))


def test_what_rests_on_what():
    """A changed price moves its own figures and no hours."""
    moved = MODEL.after("setter_price")
    assert {"setter", "first_cost", "project_flow", "npv", "loan", "equity_npv"} <= set(moved)
    assert not {"labour", "hours_saved", "operating_total"} & set(moved)
    assert "wage_per_h" not in MODEL.behind("hours_saved")


def test_a_new_yearly_cost_is_one_input_and_one_figure():
    """Insurance declared: total, tax, worth and paybacks follow, and NPV falls by its discounted cost."""
    insurance = Input("insurance_per_year", "currency/year", "insurance of the setter")
    item = Figure(
        "insurance", "currency/year", "insurance", "-insurance_per_year * used", "operating", growth="price_level"
    )
    model = Model((*INPUTS, insurance, *FIGURES, item))
    inputs = demo_inputs()
    before = evaluate(MODEL, inputs, SIZE, keep=["npv", "payback_years"])
    after = evaluate(model, inputs | {"insurance_per_year": 1200.0}, SIZE, keep=["npv", "payback_years"])
    expected = -1200 * sum((1.02 / 1.09) ** t for t in range(1, 11))
    assert float(after["npv"].item() - before["npv"].item()) == pytest.approx(expected, abs=1e-8)
    assert after["payback_years"] > before["payback_years"]
    check(model)
