"""Small cases for the tests of handling: one pattern, one core, lifts as wanted."""

from types import SimpleNamespace

import numpy as np

from coreset.case import Case, Core, Lift, Money, Pattern, Place, Range


def lift(**what):
    """A careful two-handed lift of the core C1 by hand."""
    usual = {
        "task": "set core",
        "method": "manual",
        "pattern": "P1",
        "core": "C1",
        "lifts_per_mold": 1.0,
        "horizontal_origin": 35.0,
        "vertical_origin": 90.0,
        "horizontal_destination": 50.0,
        "vertical_destination": 70.0,
    }
    return Lift(**usual | what)


def case(*lifts, place=None, mass=10.0, units="metric"):
    """A case of these lifts: pattern P1, made in 40 runs of 500 molds a year."""
    return Case(
        title="test",
        units=units,
        currency="EUR",
        money=Money(setter_price=Range.exactly(1), wage_per_h=Range.exactly(1), discount_rate=0.1),
        place=place or Place(),
        patterns=(Pattern(pattern="P1", molds_per_year=Range.exactly(20_000), runs_per_year=40),),
        cores=(Core(pattern="P1", core="C1", mass=mass),),
        lifts=lifts,
    )


def standard(seconds, method="manual", pattern="P1", cycles=40):
    """What the screen needs of a standard time."""
    return SimpleNamespace(
        pattern=pattern,
        method=method,
        standard_s=seconds,
        standard_low_s=0.95 * seconds,
        standard_high_s=1.05 * seconds,
        observed_s=0.9 * seconds,
        cycles=cycles,
        draws_s=np.random.default_rng(1).normal(seconds, seconds / 40, 1000),
    )
