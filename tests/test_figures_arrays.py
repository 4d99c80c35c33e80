"""Formulas on arrays: equal to a naive walk of the tree, for any inputs, blocks, lengths of axes and hash seeds."""

import os
import subprocess
import sys

import numpy as np
import pytest
from figures_cases import DEMO, SIZE, ZERO, demo_inputs
from figures_walk import Walk
from hypothesis import given, settings
from hypothesis import strategies as st

from coreset.errors import OutOfRange
from coreset.figures import Figure, Input, Model, Size, evaluate
from coreset.figures.compiled import source
from coreset.figures.functions import alike
from coreset.figures.plainer import Known
from coreset.money.figures import MODEL

KEEP = (
    "project_flow",
    "npv",
    "payback_years",
    "discounted_payback_years",
    "equity_flow",
    "taxable",
    "labour",
    "ramp_up",
)
SHARE = st.floats(0, 1)


@st.composite
def plants(draw):
    """Inputs of an invented plant of one to four patterns and one to eight years."""
    patterns, years = draw(st.integers(1, 4)), draw(st.integers(1, 8))

    def each(low, high):
        return [draw(st.floats(low, high)) for _ in range(patterns)]

    def bits():
        return [float(draw(st.booleans())) for _ in range(patterns)]

    inputs = ZERO | DEMO["inputs"]
    inputs["runs_counted"] = each(1, 60)
    shares = [draw(SHARE) / years for _ in range(years)]
    inputs |= {
        "molds_per_year": each(0, 90_000),
        "rate_today": each(20, 90),
        "rate_proposed": each(20, 90),
        "moved": bits(),
        "holds": bits(),
        "moved_from": [float(draw(st.integers(1, years))) for _ in range(patterns)],
        "runs_per_year": each(1, 60),
        "extra_molds_per_year": each(0, 5_000),
        "margin_per_casting": each(0, 20),
        "scrap_saved": each(-0.01, 0.02),
        "core_losses_saved": each(-0.5, 0.5),
        "core_hours_saved": each(-0.01, 0.01),
        "mask_prep_min": draw(st.sampled_from([0.0, 25.0])),
        "follow": [each(0, 20) for _ in range(patterns)],
        "mask_cost": each(0, 12_000),
        "castings_per_mold": [1.0] * patterns,
        "cost_per_scrapped_casting": each(0, 60),
        "volume_share": [[draw(st.sampled_from([0.0, 0.4, 1.0, 1.3])) for _ in range(years)] for _ in range(patterns)],
        "write_off_share": shares,
        "write_off_share_later": shares,
        "tax_rate": draw(st.sampled_from([0.0, 0.27])),
        "masks_capitalised": float(draw(st.booleans())),
        "mask_life_molds": draw(st.sampled_from([0.0, 20_000.0, 180_000.0])),
        "hours_saved_paid": draw(SHARE),
        "operators_proposed": draw(st.sampled_from([0.0, 1.0, 2.0])),
        "overhaul_cost": 9_000.0,
        "overhaul_year": float(draw(st.integers(0, years))),
        "replacement_cost": 20_000.0,
        "replacement_year": float(draw(st.integers(0, years))),
        "lease_per_year": draw(st.sampled_from([0.0, 30_000.0])),
        "lease_years": float(draw(st.integers(0, years))),
        "lease_buyout": 15_000.0,
        "working_capital": 5_000.0,
        "grant": 10_000.0,
        "loan_rate": draw(st.sampled_from([0.0, 0.07])),
        "installation_lost_hours": 40.0,
    }
    return inputs, Size(patterns=patterns, years=years)


def walk_of(inputs, size):
    """The naive walk over the same inputs."""

    def value(key, i, t):
        found = np.asarray(inputs.get(key, MODEL.inputs[key].default), dtype=float)
        places = {"": (), "p": (i,), "y": (t - 1,), "py": (i, t - 1), "pq": (i, t)}[MODEL.inputs[key].axes]
        return float(found[places] if found.ndim else found)

    return Walk(MODEL, value, size.patterns, size.years)


@settings(max_examples=20, deadline=None)
@given(plants())
def test_arrays_equal_a_naive_walk_of_the_trees(plant):
    """Every figure but IRR, at every pattern and time."""
    inputs, size = plant
    walk = walk_of(inputs, size)
    found = evaluate(MODEL, inputs, size, keep=[key for key in MODEL.figures if key != "irr"])
    for key, array in found.items():
        axes = MODEL.axes[key]
        times = range("y" in axes, size.years + 1) if axes & {"y", "t"} else (1,)
        for i in range(size.patterns if "p" in axes else 1):
            for t in times:
                place = t if "t" in axes else t - 1
                got = array[min(i, array.shape[0] - 1), min(place, array.shape[1] - 1), 0]
                assert got == pytest.approx(walk.key(key, i, t), rel=1e-9, abs=1e-6), (key, i, t)


def uncertain(runs):
    """The demo with several inputs that vary from run to run."""
    rng = np.random.default_rng(3)
    inputs = demo_inputs(tax=True)
    for key in ("molds_per_year", "rate_proposed", "extra_molds_per_year"):
        inputs[key] = np.asarray(inputs[key])[:, None, None] * rng.uniform(0.7, 1.3, (SIZE.patterns, 1, runs))
    for key in ("wage_per_h", "setter_price", "hours_saved_paid", "discount_rate"):
        inputs[key] = inputs[key] * rng.uniform(0.8, 1.2, runs)
    return inputs


def test_blocks_change_no_bit():
    """Runs are the same whatever the block, and one run alone is that run of many."""
    runs = 1000
    size = Size(patterns=SIZE.patterns, years=SIZE.years, runs=runs)
    inputs = uncertain(runs)
    whole = evaluate(MODEL, inputs, size, keep=KEEP, block=runs)
    for block in (1, 7, 256) if runs <= 1000 else (256,):
        if block == 1:
            continue
        part = evaluate(MODEL, inputs, size, keep=KEEP, block=block)
        for key in KEEP:
            np.testing.assert_array_equal(part[key], whole[key])
    one = {key: np.asarray(v)[..., 17] if np.shape(v)[-1:] == (runs,) else v for key, v in inputs.items()}
    alone = evaluate(MODEL, one, SIZE, keep=KEEP)
    for key in KEEP:
        np.testing.assert_allclose(alone[key][:, :, 0], whole[key][:, :, 17], rtol=1e-12, atol=1e-7)


def test_means_are_those_of_the_runs():
    """The mean of a figure over blocks is the mean of its runs."""
    runs = 1000
    size = Size(patterns=SIZE.patterns, years=SIZE.years, runs=runs)
    inputs = uncertain(runs)
    kept = evaluate(MODEL, inputs, size, keep=["project_flow", "labour"])
    means = evaluate(MODEL, inputs, size, mean=["project_flow", "labour"], block=300)
    for key in kept:
        np.testing.assert_allclose(means[key][:, :, 0], kept[key].mean(axis=2), rtol=1e-12)


def test_a_sum_counts_what_does_not_vary_once_for_each():
    """Axes of length 1 stand for all patterns and years."""
    model = Model(
        [
            Input("share", "1", "share", "py"),
            Figure("all_patterns", "1", "sum", "over_patterns(share)"),
            Figure("everything", "1", "sum", "over_years(all_patterns)"),
            Figure("so_far", "1", "so far", "cumulative(all_patterns)"),
        ]
    )
    for value in (0.5, np.full((3, 4), 0.5)):
        found = evaluate(model, {"share": value}, Size(patterns=3, years=4), keep=model.figures)
        assert found["everything"].ravel().tolist() == [6.0]
        assert found["so_far"].ravel().tolist() == [1.5, 3.0, 4.5, 6.0]


@pytest.mark.parametrize(
    ("changes", "text"),
    [
        ({"wage_per_h": [1.0, 2.0, 3.0]}, "wage_per_h must fit"),
        ({"molds_per_year": [1.0, 2.0]}, "molds_per_year must fit"),
        ({"no_such": 1.0}, "no_such"),
    ],
)
def test_inputs_that_do_not_fit_are_rejected(changes, text):
    """A wrong length and an unknown key are named."""
    with pytest.raises(OutOfRange, match=text):
        evaluate(MODEL, demo_inputs() | changes, SIZE, keep=["npv"])


def test_a_missing_input_is_named():
    """What is needed and neither given nor declared with a default."""
    inputs = demo_inputs()
    del inputs["wage_per_h"]
    with pytest.raises(OutOfRange, match="missing are wage_per_h"):
        evaluate(MODEL, inputs, SIZE, keep=["npv"])
    evaluate(MODEL, inputs, SIZE, keep=["masks"])


def test_the_hash_seed_changes_nothing():
    """Order of figures and source of the function are the same in every process."""
    code = (
        "from coreset.money.figures import MODEL; from coreset.figures.compiled import source;"
        "import hashlib; text = source(MODEL, tuple(MODEL.figures)) + repr(MODEL.order);"
        "print(hashlib.sha256(text.encode()).hexdigest())"
    )
    digests = {
        subprocess.run(
            [sys.executable, "-c", code],
            env=os.environ | {"PYTHONHASHSEED": seed},
            check=True,
            capture_output=True,
            text=True,
        ).stdout
        for seed in ("0", "1", "4242")
    }
    assert len(digests) == 1


GROWN = Model(
    (
        Input("price", "currency", "price"),
        Input("rise", "1", "rise", "y"),
        Figure("first", "currency", "first", "price + price", "part", growth="rise"),
        Figure("second", "currency", "second", "price * 2", "part", growth="rise"),
        Figure("third", "currency", "third", "-price", "part"),
        Figure("whole", "currency", "whole", 'every("part")'),
    )
)


@pytest.mark.parametrize("rise", [1.0, 0.0, [1.1, 1.21, 1.331]])
def test_items_that_grow_alike_are_added_first_and_come_to_the_same(rise):
    """Each run and the mean as by hand: two items of twice the price, grown, less the price."""
    price = np.array([1.0, 3.0, 5.0]).reshape(1, 1, 3)
    size = Size(patterns=1, years=3, runs=3)
    found = evaluate(GROWN, {"price": price, "rise": rise}, size, keep=["whole"], mean=["first", "third"])
    level = np.broadcast_to(rise, 3).reshape(1, 3, 1)
    assert np.broadcast_to(found["whole"], (1, 3, 3)) == pytest.approx(4 * price * level - price)
    assert np.broadcast_to(found["first"], (1, 3, 1)) == pytest.approx(6.0 * level)
    assert found["third"].mean() == -3.0
    told = source(
        GROWN, ["whole"], Known(flat=frozenset({"rise"}), zero=frozenset({"first_growth", "second_growth"})), ["first"]
    )
    assert "(first_now + second_now) * " in told and "f_mean(first_now)" in told


def test_a_limit_that_all_runs_have_reached_is_worked_out_once():
    """Of equal runs one is kept, of unequal ones all."""
    same = np.full((1, 2, 4), 7.0)
    assert alike(same).shape == (1, 2, 1)
    same[0, 1, 3] = 6.0
    assert alike(same) is same


def test_factors_of_1_are_left_out_and_a_comparison_stays_a_number():
    """Price times 1, over 1, to the power of 1, and 1 less 1; a comparison times 1 counts as 1 or 0."""
    model = Model(
        (
            Input("price", "1", "price"),
            Input("unit", "1", "one", default=1),
            Figure("plain", "1", "plain", "unit * price / unit + price * (1 - unit)"),
            Figure("dear", "1", "dear", "unit * (price > 2)"),
        )
    )
    prices = {"price": np.array([1.0, 3.0]).reshape(1, 1, 2)}
    found = evaluate(model, prices, Size(patterns=1, years=1, runs=2), keep=["plain", "dear"])
    assert found["plain"].ravel().tolist() == [1.0, 3.0] and found["dear"].ravel().tolist() == [0.0, 1.0]
    assert "plain = price\n" in source(model, ["plain"], Known(one=frozenset({"unit"})))
