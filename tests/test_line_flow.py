"""Departures: against simpy on the same draws, against an exact chain, and lines known by hand."""

import time

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from line_oracles import exact_throughput, simulated_departures, simulated_rows

from coreset.errors import OutOfRange
from coreset.line.departures import StationRow, passage


@pytest.mark.rules("LINE-blocking")
@given(data=st.data())
@settings(max_examples=80, deadline=None)
def test_same_draws_same_departures_as_simpy(data):
    """Lines of 2-6 stations with 0-8 places: every departure as simpy's, to 1e-9."""
    stations = data.draw(st.integers(2, 6))
    places = tuple(data.draw(st.lists(st.integers(0, 8), min_size=stations - 1, max_size=stations - 1)))
    rng = np.random.default_rng(data.draw(st.integers(0, 2**32)))
    service = rng.lognormal(0, 0.8, (stations, 60)) * rng.uniform(0.5, 2.0, (stations, 1))
    ours = passage(service[..., None], StationRow(places=places)).leave[..., 0]
    assert np.abs(ours - simulated_departures(service, places)).max() < 1e-9


@given(data=st.data())
@settings(max_examples=80, deadline=None)
def test_outer_rows_upper_levels_and_cooling_as_simpy_has_them(data):
    """Further rows with few places, least travel in them and cooling over all of them: as simpy's, to 1e-9."""
    stations = data.draw(st.integers(3, 6))
    places = [data.draw(st.integers(0, 6)) for _ in range(stations - 1)]
    hold_from = data.draw(st.integers(0, stations - 2))
    if not sum(places[hold_from:]) and hold_from == stations - 2:
        places[-1] = 1
    dwell = tuple(data.draw(st.sampled_from([0.0, 1.5, 4.0])) if b else 0.0 for b in places)
    hold = data.draw(st.sampled_from([0.0, 3.0, 12.0]))
    rng = np.random.default_rng(data.draw(st.integers(0, 2**32)))
    service = rng.lognormal(0, 0.8, (stations, 60)) * rng.uniform(0.2, 2.0, (stations, 1))
    layout = StationRow(places=tuple(places), dwell_s=dwell, hold_s=hold, hold_from=hold_from)
    ours = passage(service[..., None], layout)
    start, leave = simulated_rows(service, places, dwell, (hold_from, hold))
    assert np.abs(ours.start[..., 0] - start).max() < 1e-9
    assert np.abs(ours.leave[..., 0] - leave).max() < 1e-9


def test_an_outer_row_by_hand():
    """Molding 10 s, inner row of one place, outer row of two stations that takes 15 s a mold: it sets the pace."""
    service = np.zeros((3, 8, 1))
    service[0], service[1] = 10.0, 15.0
    times = passage(service, StationRow(places=(1, 1), dwell_s=(0.0, 15.0)))
    assert times.leave[1, :4, 0].tolist() == [25.0, 40.0, 55.0, 70.0]
    assert times.start[2, :4, 0].tolist() == [40.0, 55.0, 70.0, 85.0]
    assert times.leave[0, :6, 0].tolist() == [10.0, 20.0, 30.0, 40.0, 55.0, 70.0]


UNEQUAL = [
    ((1.0, 2.0), (0,), 6 / 7),
    ((2.0, 1.0), (0,), 6 / 7),
    ((3.0, 2.0), (4,), 3 * (1 - 1.5**6) / (1 - 1.5**7)),
    ((1.0, 1.2, 0.9), (1, 2), None),
    ((1.0, 0.8, 1.0), (1, 1), None),
    ((1.0, 1.0, 1.0, 1.0), (0, 1, 0), None),
]


@pytest.mark.parametrize(("rates", "places", "formula"), UNEQUAL)
def test_unequal_rates_against_the_exact_chain(rates, places, formula):
    """Unequal exponential stations: chain and two-station formula agree to 1e-9, the recursion within its error."""
    exact = exact_throughput(rates, places)
    if formula is not None:
        assert exact == pytest.approx(formula, rel=1e-9)
    rng = np.random.default_rng(4)
    service = rng.exponential(1.0, (len(rates), 5_000, 200)) / np.array(rates)[:, None, None]
    out = passage(service, StationRow(places=places)).leave[-1]
    each = 4_500 / (out[-1] - out[499])
    assert each.mean() == pytest.approx(exact, abs=4 * each.std(ddof=1) / np.sqrt(200))


def test_one_place_too_many_would_be_seen():
    """The slip to guard: a place counted twice shifts the throughput by far more than the simulation error."""
    assert exact_throughput((1.0, 1.0), (0,)) == pytest.approx(2 / 3)
    assert exact_throughput((1.0, 1.0), (1,)) == pytest.approx(3 / 4)


@pytest.mark.parametrize("place", [0, 1, 7])
def test_deterministic_line_runs_at_its_slowest_station(place):
    """Fixed times: the rate is that of the slowest station, whatever the places (flow-line exercise, five stages)."""
    cycle = np.array([5.0, 4.0, 3.5, 6.0, 4.5])
    service = np.broadcast_to(cycle[:, None, None], (5, 200, 1)).copy()
    out = passage(service, StationRow(places=(place,) * 4)).leave[-1, :, 0]
    assert np.diff(out[50:]) == pytest.approx(6.0)


def test_cooling_by_hand():
    """Two places and 100 s of cooling: two molds leave every 100 s, and none sooner."""
    service = np.zeros((3, 40, 1))
    service[0], service[1] = 5.0, 10.0
    times = passage(service, StationRow(places=(1, 2), dwell_s=(0.0, 100.0)))
    stay = times.start[2] - times.leave[1]
    assert stay.min() >= 100.0 - 1e-9
    out = times.leave[2, :, 0]
    assert (out[39] - out[19]) / 20 == pytest.approx(55.0, abs=6.0)


def test_batches_wait_for_their_last_mold():
    """A batch of three is poured one after another once its third mold has come: times by hand."""
    service = np.zeros((2, 6, 1))
    service[0], service[1] = 10.0, 4.0
    times = passage(service, StationRow(places=(5,), batch_station=1, batch_molds=3))
    assert times.leave[1, :, 0].tolist() == [34.0, 38.0, 42.0, 64.0, 68.0, 72.0]


def test_more_places_never_slow_the_line():
    """With the same draws each further place lets every mold leave no later."""
    service = np.random.default_rng(3).exponential(1.0, (3, 300, 20))
    outs = [passage(service, StationRow(places=(b, b))).leave[-1] for b in (0, 1, 3, 8)]
    assert all((late >= early - 1e-9).all() for late, early in zip(outs, outs[1:], strict=False))


def test_a_batch_without_room_is_refused():
    """Places that cannot hold a batch would stand still for ever."""
    with pytest.raises(OutOfRange, match="must hold all but one of it, got 1"):
        StationRow(places=(1,), batch_station=1, batch_molds=4)


@pytest.mark.slow
def test_twenty_stations_and_a_million_molds_in_ten_seconds():
    """2,500 molds in 400 runs of 20 stations in 10 s; per mold over 100 times as fast as the event simulation.

    The least of three turns each, taken in turn: another program can only add to a time. What a quiet machine gives is
    at least 200 times, which bench_line.py asks; a mold at a time in plain Python gives about 60.
    """
    service = np.random.default_rng(1).lognormal(0.0, 0.3, (20, 2_500, 400))
    ours, theirs = [], []
    for turn in range(3):
        begun = time.process_time()
        found = passage(service, StationRow(places=(4,) * 19)).leave
        ours.append(time.process_time() - begun)
        begun = time.process_time()
        same = simulated_departures(service[:, :300, turn], (4,) * 19)
        theirs.append((time.process_time() - begun) / 300 * 1e6)
        assert np.abs(same - found[:, :300, turn]).max() < 1e-9
    ratio = min(theirs) / min(ours)
    print(f"20 stations, 1,000,000 molds: {min(ours):.1f} s of the processor, {ratio:.0f} times simpy")
    assert min(ours) < 10.0 and ratio > 100
