"""Handling: behaviour of the lifting equation on arrays."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coreset.errors import OutOfRange
from coreset.lifting.equation import frequency_multiplier
from coreset.lifting.lift_end import Posture, lifting_index, name_of, rate

CM_PER_IN, KG_PER_LB = 2.54, 0.45359237
DURATION = st.sampled_from(["short", "moderate", "long"])
COUPLING = st.sampled_from(["good", "fair", "poor"])


def postures(units="metric", inside=1.0):
    """Any posture within the limits of the equation, drawn back from them by a share."""
    h, v, d = (63.0, 175.0, 175.0) if units == "metric" else (25.0, 70.0, 70.0)
    return st.builds(
        Posture,
        horizontal=st.floats(0.2 * h, inside * h),
        vertical=st.floats(0, inside * v),
        travel=st.floats(0, inside * d),
        angle_deg=st.floats(0, 135),
        frequency_per_min=st.floats(0, 8),
        duration=DURATION,
        coupling=COUPLING,
        units=st.just(units),
    )


def changed(posture, **what):
    """A posture with some of its parts replaced."""
    return Posture(**{name: getattr(posture, name) for name in Posture.__slots__} | what)


@given(posture=postures(), further=st.floats(0, 100))
def test_more_reach_never_raises_what_may_be_lifted(posture, further):
    """Common practice, no source: further from the body is never better."""
    assert rate(changed(posture, horizontal=posture.horizontal + further)).rwl <= rate(posture).rwl


@given(posture=postures(), more=st.floats(0, 8), worse=st.floats(0, 45))
def test_more_lifts_more_twist_and_more_travel_never_raise_it(posture, more, worse):
    """Common practice, no source: more of anything bad never lowers an index."""
    base = rate(posture).rwl
    assert rate(changed(posture, frequency_per_min=posture.frequency_per_min + more)).rwl <= base + 1e-12
    assert rate(changed(posture, angle_deg=posture.angle_deg + worse)).rwl <= base + 1e-12
    assert rate(changed(posture, travel=posture.travel + worse)).rwl <= base + 1e-12
    assert rate(changed(posture, duration="long")).rwl <= base + 1e-12
    assert rate(changed(posture, coupling="poor")).rwl <= base + 1e-12


@pytest.mark.rules("N-units")
@given(posture=postures(units="us", inside=0.98))
def test_unit_sets_agree_away_from_limits_and_the_reference_height(posture):
    """[waters1994]: the two printed sets are roundings of each other; within 6 % for any lift away from limits."""
    if 28.5 < posture.vertical < 30.5:
        return
    inches = ("horizontal", "vertical", "travel")
    metric = changed(posture, units="metric", **{name: getattr(posture, name) * CM_PER_IN for name in inches})
    assert rate(metric).rwl == pytest.approx(rate(posture).rwl * KG_PER_LB, rel=0.06)


def test_arrays_and_scalars_agree_row_by_row():
    """A thousand lifts at once are the same thousand, one at a time."""
    rng = np.random.default_rng(5)
    n = 1000
    rows = {
        "horizontal": rng.uniform(5, 80, n),
        "vertical": rng.uniform(0, 190, n),
        "travel": rng.uniform(0, 190, n),
        "angle_deg": rng.uniform(0, 160, n),
        "frequency_per_min": rng.uniform(0, 17, n),
        "duration": rng.choice(["short", "moderate", "long"], n),
        "coupling": rng.choice(["good", "fair", "poor"], n),
    }
    many = rate(Posture(**rows))
    for k in range(n):
        one = rate(Posture(**{name: column[k] for name, column in rows.items()}))
        assert one.rwl == pytest.approx(many.rwl[k], abs=1e-12)
        assert one.binding == many.binding[k]


@pytest.mark.rules("N-a-limits", "N-l-zero")
def test_limits_give_zero_and_the_index_is_then_not_a_number():
    """[waters1994]: beyond H 63 cm, V 175 cm, D 175 cm, A 135 degrees and the last frequency nothing may be lifted."""
    at = Posture(horizontal=63, vertical=175, travel=175, angle_deg=135, frequency_per_min=15, coupling="good")
    assert rate(at).rwl > 0
    for beyond in (
        {"horizontal": 63.1},
        {"vertical": 175.1},
        {"travel": 175.1},
        {"angle_deg": 135.1},
        {"frequency_per_min": 15.1},
    ):
        assert rate(changed(at, **beyond)).rwl == 0
    assert np.isnan(lifting_index(10, rate(changed(at, horizontal=70)).rwl))


@pytest.mark.rules("N-f-low", "N-f-zero-row", "N-interp")
def test_frequency_is_read_on_straight_lines_up_to_the_last_row_that_is_not_zero():
    """The stricter reading: above the last row of a column that is not zero FM is 0, not a line towards 0."""
    assert frequency_multiplier(2.5, "long", 80) == pytest.approx(0.60)
    assert frequency_multiplier(0.35, "short", 80) == pytest.approx(0.985)
    last = {("short", 40): 12, ("short", 80): 15, ("moderate", 40): 10, ("moderate", 80): 12}
    last |= {("long", 40): 8, ("long", 80): 10}
    for (duration, vertical), rate_per_min in last.items():
        assert frequency_multiplier(rate_per_min, duration, vertical) > 0
        assert frequency_multiplier(rate_per_min + 0.001, duration, vertical) == 0


def test_what_binds_is_the_smallest_multiplier():
    """The binding multiplier is named; nothing binds where all are 1."""
    assert name_of(rate(Posture(horizontal=60, vertical=75, coupling="good")).binding) == "hm"
    assert name_of(rate(Posture(horizontal=25, vertical=75, coupling="poor")).binding) == "cm"
    assert name_of(rate(Posture(horizontal=25, vertical=75, coupling="good")).binding) == ""


def test_nan_stays_nan():
    """A value that is missing makes the result missing, not a number."""
    for name in ("horizontal", "vertical", "travel", "angle_deg", "frequency_per_min"):
        posture = changed(Posture(horizontal=30, vertical=80), **{name: np.nan})
        assert np.isnan(rate(posture).rwl), name


@pytest.mark.parametrize(
    ("what", "text"),
    [
        ({"horizontal": 0}, "horizontal must be above zero"),
        ({"vertical": -1}, "vertical must be zero or more"),
        ({"angle_deg": 181}, "angle must be at most 180"),
        ({"frequency_per_min": -1}, "frequency must be zero or more"),
        ({"duration": "all day"}, "duration must be one of short, moderate, long"),
        ({"coupling": "firm"}, "coupling must be one of good, fair, poor"),
        ({"units": "imperial"}, "units must be one of metric, us"),
    ],
)
def test_what_cannot_be_is_refused(what, text):
    """Values that cannot be are refused with the rule and the value."""
    with pytest.raises(OutOfRange, match=text):
        rate(changed(Posture(horizontal=30, vertical=80), **what))
    with pytest.raises(OutOfRange, match="mass must be above zero"):
        lifting_index(0, 10)
