"""What if: each change against the cycle calculated by hand."""

import chart_cases
import pytest

from coreset.line.critical_loop import critical_loop
from coreset.line.method_steps import activities, net
from coreset.line.what_if import (
    loading_inside,
    loading_outside,
    one_more_mask,
    second_operator,
    shorter_stroke,
    what_ifs,
)

ASSISTED = activities(chart_cases.ASSISTED, "BOX")


def pace(found, **seconds):
    """Deterministic mold cycle with durations by step, factors applied."""
    chart = net(found)
    base = {"mold the drag": 14.0, "load mask": 18.0, "lower": 8.0, "close": 4.0, **seconds}
    return critical_loop(chart, [base[a.name.split(" (")[0]] * a.factor for a in chart.activities])[0]


def test_second_operator_halves_the_loading_at_best():
    """30 s of loading and 8 s of lowering limit at 38 s; two people at 15 s leave the machine's 26 s."""
    assert pace(ASSISTED, **{"load mask": 30.0}) == 38.0
    assert pace(second_operator(ASSISTED), **{"load mask": 30.0}) == 26.0


def test_one_more_mask_lets_loading_run_beside_lowering():
    """With a second mask the operator loads while the setter lowers: 30 s of loading limit alone, not 38 s."""
    assert pace(one_more_mask(ASSISTED), **{"load mask": 30.0}) == 30.0


def test_loading_inside_adds_to_the_machine():
    """Loaded between cycles, the mask must be full before the setter lowers: 18 + 8 + 4 s."""
    assert pace(loading_inside(ASSISTED)) == 30.0
    assert pace(ASSISTED) == 26.0


def test_loading_outside_undoes_loading_inside():
    """Moved outside again, loading costs nothing while it is shorter than the cycle."""
    assert pace(loading_outside(loading_inside(ASSISTED))) == pytest.approx(26.0)


def test_shorter_stroke_saves_what_it_takes_off():
    """A fifth off an 8 s stroke that limits saves 1.6 s a mold."""
    assert pace(ASSISTED) - pace(shorter_stroke(ASSISTED)) == pytest.approx(1.6)


def test_changes_that_change_nothing_are_left_out():
    """Hand setting has no mask and no stroke; a second operator is all that can be asked."""
    case, found = chart_cases.case(), chart_cases.standards(("BOX",))
    assert [c.code for c in what_ifs(case, found, pair=("BOX", "manual"), replications=200)] == ["second_operator"]
    codes = {c.code: c.saved_s for c in what_ifs(case, found, pair=("BOX", "core setter"), replications=200)}
    assert {"second_operator", "shorter_stroke", "one_more_mask", "loading_inside"} <= set(codes)
    assert codes["shorter_stroke"] > 1.0 and codes["loading_inside"] < 0.0
