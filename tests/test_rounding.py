"""Rounding: against the decimal arithmetic of the standard library, which follows IEEE 754 round-half-away."""

import math
from decimal import ROUND_HALF_UP, Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coreset.rounding import fixed, half_up


@given(st.integers(-(10**8), 10**8), st.integers(0, 4))
def test_halves_go_away_from_zero(number, digits):
    """Figures with one digit more than wanted: decimal arithmetic on their text gives the same."""
    text = f"{number}e-{digits + 1}"
    wanted = Decimal(text).quantize(Decimal(1).scaleb(-digits), rounding=ROUND_HALF_UP)
    assert half_up(float(text), digits) == float(wanted)
    assert Decimal(fixed(float(text), digits)) == wanted


@pytest.mark.parametrize("value", [math.inf, -math.inf])
def test_what_is_not_finite_stays_itself(value):
    """Infinity stays itself, not a number stays none; as text both are a dash."""
    assert half_up(value, 2) == value
    assert math.isnan(half_up(math.nan, 2))
    assert fixed(value, 2) == fixed(math.nan) == "–"


def test_nothing_is_written_with_a_minus():
    """What rounds to 0 from below is 0 and not -0; what does not keeps its sign and its digits."""
    assert (fixed(-0.004, 2), fixed(-0.005, 2), fixed(-0.0), fixed(12, 1)) == ("0.00", "-0.01", "0", "12.0")
