"""The line from mold to shake-out: precision, seeds, losses by cause, cooling, facts of the trade."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import plant
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coreset.case import Line, Stop
from coreset.line.gains import changed, gains, seconds_saved
from coreset.line.line_plan import plan
from coreset.line.service_times import standing_s
from coreset.line.simulation import cooled, early, limiting, run, simulate

LINE = Line(
    uptime=0.85, mold_positions=3, pouring_s=24.0, cooling_places=60, shakeout_s=10.0,
    stops=(Stop(cause="metal late", station="pouring", every_min=30.0, lasts_min=3.0),
           Stop(cause="sand", station="molding", every_min=40.0, lasts_min=2.0)),
)  # fmt: skip


def bottleneck(found):
    """What the stations that stand by for others point to."""
    return limiting({name: parts[2] + parts[3] for name, parts in found.shares.items()}, cooled(found))


def cycle(mean=26.0, method="manual", spread=0.25, pattern="HUB", seed=1):
    """A mold cycle with skewed single cycles."""
    single = mean * np.random.default_rng(seed).lognormal(-(spread**2) / 2, spread, 2_000)
    return SimpleNamespace(pattern=pattern, method=method, sample_s=single, mean_s=mean, draws_s=np.full(2, mean))


def case(line=LINE, cooling_min=20.0, **changes):
    """The invented plant with this line."""
    found = plant.plant(line=line)
    return replace(found, patterns=tuple(replace(p, cooling_min=cooling_min, **changes) for p in found.patterns))


def test_same_seed_same_answer_until_precise_with_progress():
    """Runs in blocks until the wanted precision, says how far it is, and comes out again."""
    told = []
    found = simulate(plan(case(), cycle()), wanted=0.01, progress=lambda done, reach: told.append((done, reach)))
    again = simulate(plan(case(), cycle()), wanted=0.01)
    assert found.precise and np.array_equal(found.draws, again.draws)
    assert (found.high - found.low) / 2 <= 0.01 * found.molds_per_h
    assert told[-1][1] <= 0.01 and len(told) * 50 == found.replications
    assert not np.array_equal(found.draws, simulate(plan(case(), cycle()), wanted=0.01, seed=2).draws)


def test_shares_of_each_station_make_one_and_roots_the_whole_of_its_losses():
    """Working, stopped, blocked and starved are each station's whole time; every loss is traced to its root."""
    line = replace(LINE, outer_row_stations=8, outer_row_index_s=20.0, upper_level_stations=1, upper_level_index_s=9.0)
    batch = replace(LINE, pouring_mode="batch", pouring_batch=4, index_s=12.0, pouring_s=18.0)
    for one, cooling in ((LINE, 20.0), (line, 45.0), (batch, 30.0), (replace(LINE, cooling_places=1), 0.5)):
        found = simulate(plan(case(one, cooling), cycle(), changes=20.0), wanted=0.0, most=50)
        for name, parts in found.shares.items():
            assert sum(parts) == pytest.approx(1.0, abs=1e-9), name
            for how, share in zip(("stopped", "blocked", "starved"), parts[1:], strict=True):
                traced = sum(value for root, value in found.roots[name].items() if root[0] == how)
                assert traced == pytest.approx(share, abs=1e-6), (name, how)
            assert not [root for root, value in found.roots[name].items() if root[1] == "rest" and value > 1e-6]


@given(data=st.data())
@settings(max_examples=15, deadline=None)
def test_every_wait_on_a_random_line_is_traced_to_its_root(data):
    """Random places, rows, cooling, batches and stops: roots are the whole of what is lost, to 1e-6 of the time."""
    batch, index = data.draw(st.sampled_from([1, 1, 3, 5])), data.draw(st.sampled_from([0.0, 9.0]))
    line = Line(
        uptime=1.0, mold_positions=data.draw(st.integers(1, 8)), cooling_places=data.draw(st.integers(1, 40)),
        pouring_s=data.draw(st.sampled_from([8.0, 24.0, 31.0])), pouring_cv=data.draw(st.sampled_from([0.0, 0.6])),
        pouring_mode="batch" if batch > 1 else "index", pouring_batch=batch, index_s=index,
        outer_row_stations=data.draw(st.integers(0, 6)), outer_row_index_s=data.draw(st.sampled_from([5.0, 29.0])),
        upper_level_stations=data.draw(st.integers(0, 3)), upper_level_index_s=7.0,
        shakeout_s=data.draw(st.sampled_from([0.0, 12.0, 33.0])),
        stops=tuple(Stop(cause="stop", station=name, every_min=10.0, lasts_min=3.0)
                    for name in ("molding", "pouring", "outer row", "shake-out") if data.draw(st.booleans())),
    )  # fmt: skip
    cooling = data.draw(st.sampled_from([0.0, 2.0, 9.0]))
    found = simulate(plan(case(line, cooling), cycle(), changes=data.draw(st.sampled_from([0.0, 15.0]))),
                     wanted=0.0, most=4)  # fmt: skip
    for name, parts in found.shares.items():
        for how, share in zip(("stopped", "blocked", "starved"), parts[1:], strict=True):
            traced = {root: value for root, value in found.roots[name].items() if root[0] == how}
            assert sum(traced.values()) == pytest.approx(share, abs=1e-6), (name, how)
            assert sum(value for root, value in traced.items() if root[1] == "rest") < 1e-6, (name, how)


def test_roots_of_waiting_by_hand():
    """A stop at molding starves pouring and, through it, shake-out, which else stands for the pace of pouring."""
    line = Line(uptime=1.0, mold_positions=1, pouring_s=20.0, cooling_places=50, shakeout_s=5.0,
                stops=(Stop(cause="plate", station="molding", every_min=20.0, lasts_min=4.0),))  # fmt: skip
    steady = SimpleNamespace(pattern="HUB", method="manual", sample_s=np.full(5, 15.0), mean_s=15.0)
    found = simulate(plan(case(line, 0.0), steady), wanted=0.0, most=100).roots
    assert next(iter(found["pouring"])) == ("starved", "stop", "plate")
    assert set(found["pouring"]) == {("starved", "stop", "plate")}
    first, then = (found[name]["starved", "stop", "plate"] for name in ("pouring", "shake-out"))
    assert 0.95 < then / first < 1.0, "shake-out works on its last mold for 5 s of each stop"
    assert max(found["shake-out"], key=found["shake-out"].get) == ("starved", "pace", "pouring")
    assert ("blocked", "pace", "pouring") in found["molding"] and ("stopped", "stop", "plate") in found["molding"]


def test_a_stop_further_down_blocks_up_to_the_first_station():
    """Shake-out stops; with the places full, pouring and molding stand for it; pouring is not blamed."""
    line = Line(uptime=1.0, mold_positions=1, pouring_s=10.0, cooling_places=2, shakeout_s=9.0,
                stops=(Stop(cause="jam", station="shake-out", every_min=10.0, lasts_min=6.0),))  # fmt: skip
    steady = SimpleNamespace(pattern="HUB", method="manual", sample_s=np.full(5, 12.0), mean_s=12.0)
    found = simulate(plan(case(line, 0.0), steady), wanted=0.0, most=100).roots
    for name in ("molding", "pouring"):
        assert max(found[name], key=found[name].get) == ("blocked", "stop", "jam"), name
        assert found[name]["blocked", "stop", "jam"] > 0.25


def test_warm_up_rule_leaves_no_trend():
    """After the warm-up the first and the second half of the counted molds give the same rate within 3 errors."""
    found = plan(case(), cycle())
    times, _ = run(found, replications=200, key=(3, 0))
    out = times.leave[-1][found.warm_up - 1 :]
    half = len(out) // 2
    change = (out[half] - out[0]) - (out[2 * half] - out[half])
    assert abs(change.mean()) < 3 * change.std() / np.sqrt(200)


def test_stops_take_their_share():
    """Stops by running time take lasts/(every + lasts) of it: exponential and constant, within simulation error."""
    work = np.full((20_000, 40), 30.0)
    for spread in ("exponential", "constant"):
        stop = Stop(cause="", station="molding", every_min=20.0, lasts_min=4.0, spread=spread)
        lost = standing_s(work, stop, (1, 2))
        assert lost.sum() / (lost.sum() + work.sum()) == pytest.approx(4 / 24, rel=0.02)


def test_unlimited_places_give_the_slowest_station():
    """With places in plenty and no stops the line runs at its slowest part, which is named."""
    line = Line(uptime=1.0, mold_positions=200, pouring_s=20.0, cooling_places=200, shakeout_s=5.0)
    found = simulate(plan(case(line, 0.0), cycle(30.0)), wanted=0.0, most=50)
    assert found.molds_per_h == pytest.approx(3600 / cycle(30.0).sample_s.mean(), rel=0.01)
    assert bottleneck(found) == "molding"
    slow = simulate(plan(case(replace(line, pouring_s=45.0), 0.0), cycle(30.0)), wanted=0.0, most=50)
    assert slow.molds_per_h == pytest.approx(80.0, rel=0.001)
    assert bottleneck(slow) == "pouring"


def test_cooling_holds_the_line_and_hot_molds_are_counted():
    """60 places and 45 min of cooling allow 80 molds an hour at most; let run freely nearly all would leave too hot."""
    line = replace(LINE, uptime=1.0, stops=(), mold_positions=30)
    found = simulate(plan(case(line, 45.0), cycle()), wanted=0.0, most=50)
    assert found.molds_per_h <= 80.0 * 61 / 60
    assert found.early_share > 0.9 and found.shortest_min < 45.0
    assert bottleneck(found) == "cooling"
    assert found.in_mold_min >= 45.0
    cool = simulate(plan(case(line, 10.0), cycle()), wanted=0.0, most=50)
    assert cool.early_share == 0.0 and cool.molds_per_h > found.molds_per_h


def test_more_positions_help_with_diminishing_return():
    """Common practice, no source: mold positions decouple molding from pouring, each further one by less."""
    rates = [
        simulate(plan(changed(case(), (("positions", float(n)),)), cycle()), wanted=0.0, most=200).molds_per_h
        for n in (0, 4, 8, 12)
    ]
    steps = np.diff(rates)
    assert (steps > 0).all() and steps[0] > steps[1] > steps[2]


def test_scatter_of_pouring_keeps_common_numbers_and_costs_a_little():
    """A pouring time with scatter: same seed, same answer; molding draws what it drew without; the line loses."""
    line = replace(LINE, mold_positions=2, stops=(), pouring_s=25.0)
    plain, rough = (plan(case(replace(line, pouring_cv=cv)), cycle()) for cv in (0.0, 0.4))
    drawn = [run(p, replications=20, key=(1, 0))[1].work_s for p in (plain, rough)]
    assert np.array_equal(drawn[0][0], drawn[1][0])
    assert drawn[1][1].mean() == pytest.approx(25.0, rel=0.02)
    assert drawn[1][1].std() / drawn[1][1].mean() == pytest.approx(0.4, rel=0.05)
    found = [simulate(p, wanted=0.0, most=100) for p in (plain, rough)]
    assert (found[1].draws < found[0].draws).mean() > 0.9
    assert np.array_equal(found[1].draws, simulate(rough, wanted=0.0, most=100).draws)


def test_rows_after_the_inner_one_are_run_as_stations():
    """Outer row and upper level are stations with shares of their own; a slow row limits and molds cool in it."""
    line = Line(uptime=1.0, pouring_s=12.0, cooling_places=30, outer_row_stations=20, outer_row_index_s=40.0,
                upper_level_stations=12, upper_level_index_s=5.0)  # fmt: skip
    found = simulate(plan(case(line, 20.0), cycle()), wanted=0.0, most=50)
    assert list(found.shares) == ["molding", "pouring", "outer row", "upper level", "shake-out"]
    assert found.molds_per_h == pytest.approx(90.0, rel=0.001) and bottleneck(found) == "outer row"
    assert found.in_mold_min >= (30 * 40 + 19 * 40 + 11 * 5) / 60
    assert simulate(plan(case(line, 80.0), cycle()), wanted=0.0, most=50).molds_per_h <= 60 * 62 / 80 * 1.02
    calm = simulate(plan(case(replace(line, outer_row_index_s=8.0), 20.0), cycle()), wanted=0.0, most=50)
    assert calm.roots["upper level"]["blocked", "cooling", ""] > 0.5 and bottleneck(calm) == "molding"
    past = simulate(plan(case(line, 10.0, inner_row_only=True), cycle()), wanted=0.0, most=50)
    assert list(past.shares) == ["molding", "pouring", "shake-out"] and past.molds_per_h > 90.0


def test_batches_free_the_pace_but_not_the_mean_rate():
    """Common practice, no source: at the index the mold stays longest; in batches no more than the index passes."""
    line = Line(uptime=1.0, mold_positions=8, pouring_s=8.0, index_s=30.0, cooling_places=40)
    at_index = plan(case(line, 0.0), cycle(20.0))
    batch = replace(line, pouring_mode="batch", pouring_batch=6)
    in_batches = plan(case(batch, 0.0), cycle(20.0))
    rates = [simulate(p, wanted=0.0, most=50).molds_per_h for p in (at_index, in_batches)]
    assert rates[0] == pytest.approx(120.0, rel=0.001)
    assert rates[1] <= 120.0 * 1.02
    needed = [replace(p, cooling_s=1_190.0) for p in (at_index, in_batches)]
    shares = [early(p, key=(1, 0)) for p in needed]
    assert shares[0][0] == 0.0 and shares[0][1] > shares[1][1]


def test_gains_alone_and_together():
    """The setter with more positions brings at least as much as either alone; a second is worth most at the limit."""
    now, then = cycle(34.0), cycle(24.0, "core setter")
    found = {gain.parts: gain for gain in gains(case(), now, then, replications=50)}
    setter, more = ("setter", 1.0), ("positions", 8.0)
    assert found[setter, more].gain_per_h >= max(found[setter,].gain_per_h, found[more,].gain_per_h)
    assert found[setter,].low <= found[setter,].gain_per_h <= found[setter,].high
    worth = {row.station: row.gain_per_h for row in seconds_saved(plan(case(), now), replications=50)}
    assert worth["molding"] == max(worth.values()) and worth["shake-out"] == pytest.approx(0.0, abs=0.2)


def test_pattern_changes_cost_their_time():
    """One change of 10 min after every run of so many molds lowers the rate by its share of the time."""
    line = Line(uptime=1.0, mold_positions=50, pouring_s=5.0, cooling_places=50)
    one = plan(case(line, 0.0), cycle(30.0, spread=0.01), changes=10.0)
    assert one.run_molds == pytest.approx(1_000.0)
    short = replace(one, run_molds=100.0)
    rate = simulate(short, wanted=0.0, most=50).molds_per_h
    assert rate == pytest.approx(3600 * 100 / (3_000 + 600), rel=0.01)
