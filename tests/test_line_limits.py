"""The line at its limits: layouts that cannot run, a method that nobody timed, stations that take no time."""

import math
from dataclasses import replace

import numpy as np
import pytest
from test_line_fit import CORE, SETTER, fit
from test_line_simulate import case, cycle

from coreset.case import Line
from coreset.errors import OutOfRange
from coreset.line.departures import StationRow
from coreset.line.gains import gains, seconds_saved
from coreset.line.line_plan import plan
from coreset.line.pattern_line import look_closer
from coreset.line.rates import rates
from coreset.line.student import half_width

SURE = Line(uptime=1.0, mold_positions=2, pouring_s=20.0, cooling_places=40, shakeout_s=5.0)
REFUSED = [
    ({"places": (1, -1)}, "not be negative, got (1, -1)"),
    ({"places": (1, 1), "dwell_s": (5.0,)}, "must be counted between stations and not be negative, got (1, 1)"),
    ({"places": (1, 0), "dwell_s": (0.0, 5.0)}, "places where molds must stay must be at least 1, got 0"),
    ({"places": (1, 1), "hold_s": 9.0, "hold_from": 2}, "from which molds are held must be before the last, got 2"),
    ({"places": (1, 1), "hold_s": 9.0, "hold_from": -1}, "from which molds are held must be before the last, got -1"),
    ({"places": (1, 0), "hold_s": 9.0, "hold_from": 1}, "places where molds must stay must be at least 1, got 0"),
    ({"places": (9, 9), "batch_molds": 4, "batch_station": 0}, "works in batches must have one before it, got 0"),
    ({"places": (9, 9), "batch_molds": 4, "batch_station": 3}, "works in batches must have one before it, got 3"),
    ({"places": (9, 2), "batch_molds": 4, "batch_station": 2}, "places before a batch of 4 must hold all but one of i"),
]


@pytest.mark.parametrize(("what", "words"), REFUSED, ids=[str(what) for what, _ in REFUSED])
def test_a_layout_that_would_stand_still_is_refused(what, words):
    """Each refusal says what must hold and what was found."""
    with pytest.raises(OutOfRange) as refused:
        StationRow(**what)
    assert words in str(refused.value)


@pytest.mark.parametrize(
    "what",
    [
        {"places": (0, 0)},
        {"places": (1, 1), "dwell_s": (0.0, 5.0)},
        {"places": (0, 0), "hold_s": 9.0},
        {"places": (1, 1), "hold_s": 9.0, "hold_from": 1},
        {"places": (9, 3), "batch_molds": 4, "batch_station": 2},
    ],
)
def test_a_layout_with_just_enough_room_is_taken(what):
    """One place less in any of these is among the refused ones above, or needs none."""
    assert StationRow(**what).places == what["places"]


def test_a_method_that_was_not_timed_is_not_compared():
    """The setter alone timed: one run, its mask change in 1,000 molds, no gains. As today alone: none with setter."""
    then = look_closer(
        case(SURE), [assisted := cycle(40.0, "core setter", spread=0.01)], "HUB", rates(case(SURE), [assisted])
    )
    assert [row.method for row in then.methods] == ["core setter"] and then.gains == ()
    assert then.methods[0].run.molds_per_h == pytest.approx(3_600_000 / (40_000 + 12 * 60), rel=0.002)
    assert look_closer(case(SURE), [cycle(pattern="BOX")], "HUB", ()).methods == ()
    alone = gains(case(SURE), cycle(40.0, spread=0.01), None, replications=20)
    assert [gain.parts[0][0] for gain in alone] == ["positions"] * 4 + ["pourer", "cooling"]
    assert all(abs(gain.gain_per_h) < 0.5 for gain in alone)


def test_a_second_is_not_saved_where_none_is_taken():
    """Shaken out as they come: no second to save there; a second less of 40 s of molding brings 2.3 molds."""
    found = plan(case(replace(SURE, shakeout_s=0.0)), cycle(40.0, spread=0.001))
    rows = {row.station: row.gain_per_h for row in seconds_saved(found, replications=20)}
    assert "shake-out" not in rows and set(rows) == {"molding", "pouring"}
    assert rows["molding"] == pytest.approx(3600 / 39 - 3600 / 40, abs=0.05)
    assert rows["pouring"] == pytest.approx(0.0, abs=0.05)


def test_prints_without_clearance_are_flagged():
    """No clearance at all is another matter than too little: each has its reminder, enough has none."""
    for clearance, reminder in ((0.0, "clearance"), (0.1, "clearance_small"), (0.4, None)):
        told = set(fit(replace(CORE, print_clearance=clearance)).cores[0].reminds)
        assert told & {"clearance", "clearance_small"} == ({reminder} if reminder else set())
    assert fit(setter=SETTER).cores[0].reminds == ()


def test_one_replication_says_nothing_of_its_error():
    """An interval needs two; of two alike it is none wide."""
    assert half_width(np.array([9.0])) == half_width(np.array([])) == math.inf
    assert half_width(np.array([9.0, 9.0])) == 0.0
