"""Lines of other kinds: a shared index, a turntable, a station apart, flasks in a loop, two people on alternate molds.

Figures not derived beside them are `computed`: other people's event simulations and closed forms of the same lines.
"""

import shutil
from dataclasses import replace
from importlib.resources import files
from pathlib import Path

import line_kind_cases as kinds
import numpy as np
import pytest
from line_kind_cases import LINES, Invented, cased, fixed_s, line, lognormal_s, per_hour

from coreset.case.kinds import INDEX
from coreset.errors import OutOfRange, StudyError
from coreset.line.charts.activity import activity
from coreset.line.critical_loop import critical_loop
from coreset.line.gains import gains, seconds_saved
from coreset.line.line_plan import plan
from coreset.line.mold_cycle import mold_cycles
from coreset.line.pattern_line import look_closer
from coreset.line.rates import rates
from coreset.line.recursion import finish_times
from coreset.line.report import tables
from coreset.line.report.pattern_line import flow
from coreset.line.simulation import run, simulate
from coreset.store import folder

DEMO = Path(str(files("coreset.studies") / "ostrander_bend"))

FIXED = {
    "string_hand": (276.9231, {"load", "set"}),
    "string_mask": (288.0, {"make", INDEX}),
    "index_hand": (80.0, {"make", "set", "clear", "close", INDEX}),
    "index_zone": (107.4627, {"make", "set", "clear", "close", INDEX}),
    "flask_open": (60.4127, {"pouring", "shake-out starts"}),
    "flask_pallets": (70.5882, {"make", INDEX}),
    "turntable": (144.0, {"make", INDEX}),
    "shuttle_direct": (150.0, {"make"}),
}
"""Molds an hour at fixed times, steps of the loop that sets it: computed, the largest loop of delay over molds."""
LONG_RUN = {
    "string_hand": (272.613, 0.011, "molding"),
    "string_mask": (275.93, 0.094, "molding"),
    "index_hand": (79.998, 0.002, "molding"),
    "index_zone": (100.785, 0.03, "molding"),
    "flask_open": (60.383, 0.003, "cooling"),
    "flask_pallets": (62.143, 0.015, "molding"),
    "turntable": (141.708, 0.003, "molding"),
    "shuttle_direct": (134.089, 0.051, "molding"),
}
"""Molds an hour with scatter and stops: computed by 8 x 400 runs of an event simulation, half-width, what limits."""


@pytest.mark.parametrize("name", LINES)
def test_the_largest_loop_sets_the_pace_at_fixed_times(name):
    """The maximum cycle mean of the whole line and its loop; computed figures."""
    pace, loop = critical_loop(LINES[name].net, fixed_s(LINES[name]))
    per_h, steps = FIXED[name]
    assert 3600.0 / pace == pytest.approx(per_h, abs=5e-5)
    assert steps <= set(loop)


@pytest.mark.parametrize("name", ["string_hand", "index_hand", "turntable", "flask_open"])
def test_the_run_line_agrees_with_an_event_simulation(name):
    """From a study through mold cycle and plan to molds an hour: within both errors; and what limits."""
    case, studies = cased(name)
    cycles = mold_cycles(case, studies, replications=50)
    found = simulate(plan(case, cycles[0]), wanted=0.0, most=50, seed=3)
    per_h, half, limits = LONG_RUN[name]
    assert abs(found.molds_per_h - per_h) <= half + (found.high - found.low) / 2 + 2e-4 * per_h
    rate = rates(case, cycles, replications=20)[0]
    assert rate.molds_per_h == pytest.approx(per_h, rel=2e-3)
    assert rate.limited_by == limits
    for shares in found.shares.values():
        assert sum(shares) == pytest.approx(1.0, abs=2e-3)


@pytest.mark.slow
@pytest.mark.parametrize("name", LINES)
def test_every_line_agrees_with_its_long_run(name):
    """All kinds, stops listed with them, 400 runs: within both errors."""
    case, studies = cased(name, cycles=20_000)
    found = simulate(plan(case, mold_cycles(case, studies, replications=20)[0]), wanted=0.0, most=400, seed=5)
    per_h, half, _ = LONG_RUN[name]
    assert abs(found.molds_per_h - per_h) <= half + (found.high - found.low) / 2 + 2e-4 * per_h


def test_a_second_is_worth_what_the_event_simulation_says():
    """Mold string by hand: setting, loading, making a second shorter; computed figures, 1 s each."""
    case, studies = cased("string_hand")
    found = seconds_saved(plan(case, mold_cycles(case, studies, replications=20)[0]), seed=3)
    worth = {row.station: row.gain_per_h for row in found}
    assert worth["set"] == pytest.approx(10.269, abs=0.2)
    assert worth["load"] == pytest.approx(8.761, abs=0.2)
    assert worth["make"] == pytest.approx(3.099, abs=0.15)
    assert worth["pouring"] == pytest.approx(0.247, abs=0.1)
    assert worth["shake-out"] == pytest.approx(0.0, abs=1e-6)


def small(kind, method, times, *, cool_s=0.0, **facts):
    """A line by its steps' (mean, cv)."""
    return Invented(line(kind, **facts), method, cool_s, times)


def test_a_ladle_pause_adds_in_full_where_nothing_decouples():
    """By hand: make 8, index 4, load 9, set 6, pour 9, 20 s more at every 25th: cycles 33, 13, 13, 14, then 15."""
    one = small(
        "indexing line", kinds.STRING, {"make": (8, 0), "load": (9, 0), "set": (6, 0), "pouring": (9, 0)},
        index_s=4.0, cooling_places=10,
    )  # fmt: skip
    seconds = lognormal_s(one, molds=200, runs=1)
    seconds[24::25, one.net.names.index("pouring")] += 20.0
    turned = np.diff(finish_times(one.net, seconds)[:, one.net.names.index(INDEX), 0])
    assert turned[99:104] == pytest.approx([33.0, 13.0, 13.0, 14.0, 15.0])
    assert turned[99:124].sum() == pytest.approx(388.0)


@pytest.mark.parametrize(("masks", "cycle_s"), [(1, 22.0), (2, 16.0)], ids=["one mask", "two masks"])
def test_a_second_mask_is_loaded_while_the_first_is_used(masks, cycle_s):
    """By hand: make 9, index 3, load 16, stroke 6: 22 s with one mask, 16 s with two; links reach back two cycles."""
    method = kinds.method(
        kinds.MAKE,
        ("load", "operator", {"after_previous": ("set",), "cycles_back": masks}),
        ("set", "setter", {"after": (INDEX, "load")}),
    )
    times = {"make": (9, 0), "load": (16, 0), "set": (6, 0), "pouring": (8, 0)}
    one = small("indexing line", method, times, index_s=3.0)
    assert critical_loop(one.net, fixed_s(one))[0] == pytest.approx(cycle_s)


@pytest.mark.parametrize(("prepare_s", "cycle_s"), [(45.0, 38.0), (70.0, 43.5)])
def test_two_people_on_alternate_molds_have_two_cycles_each(prepare_s, cycle_s):
    """By hand: make 16, set 14, clear 3, close 5: max(38, (p + 17) / 2); with one person p + 17."""
    case = replace(cased("string_hand")[0], line=line("accumulating conveyor"))
    times = {"make": 16.0, "load": prepare_s, "set": 14.0, "clear": 3.0, "close": 5.0}
    steps = tuple(replace(s, constant_s=times[s.name]) for s in kinds.PLATE.steps)
    for crew, expected in (("alternate molds", cycle_s), ("one mold", prepare_s + 17.0)):
        method = replace(kinds.PLATE, operators=2, crew=crew, steps=steps)
        found = mold_cycles(replace(case, methods=(method,)), (), replications=10)[0]
        assert found.mean_s == pytest.approx(expected)
    assert found.bars


def test_each_of_two_people_in_turn_has_a_row_and_a_share_of_their_own():
    """By hand, 38 s a mold: each has 76 s for set and clear 17 and fetch 22: 51 % working, 49 % not; two rows drawn."""
    case = replace(cased("string_hand")[0], line=line("accumulating conveyor"))
    times = {"make": 16.0, "load": 22.0, "set": 14.0, "clear": 3.0, "close": 5.0}
    steps = tuple(replace(s, constant_s=times[s.name]) for s in kinds.PLATE.steps)
    method = replace(kinds.PLATE, operators=2, crew="alternate molds", steps=steps)
    found = mold_cycles(replace(case, methods=(method,)), (), replications=10)[0]
    working, waiting = found.shares["operator"]
    assert working == pytest.approx(39 / 76) and working + waiting + found.idle["operator"] == pytest.approx(1.0)
    assert {bar.by for bar in found.bars} == {"machine", "operator (1)", "operator (2)"}
    drawn = str(activity([found], "m").to_dict())
    assert "operator (1)" in drawn and "operator (2)" in drawn


@pytest.mark.parametrize("name", ["flask_open", "shuttle_direct", "string_mask", "turntable"])
def test_the_multiple_activity_chart_is_drawn_for_every_kind(name):
    """Work of people, machine and index in rows; moments that take no time are neither drawn nor numbered."""
    case, studies = cased(name, cycles=50)
    (found,) = mold_cycles(case, studies, replications=4)
    drawn = str(activity([found], "m").to_dict())
    assert "molding machine" in drawn and "leaves" not in drawn and "comes to" not in drawn


@pytest.mark.slow
@pytest.mark.parametrize("name", ["row", "string_hand", "flask_open", "turntable", "shuttle_direct"])
def test_each_of_the_five_kinds_has_chart_loop_limit_and_worth_of_a_second(name):
    """Rows for all who work, a loop of steps, a part that limits; a second is worth something unless cooling limits."""
    case, studies = cased("turntable" if name == "row" else name, cycles=200)
    if name == "row":
        case = replace(case, line=replace(case.line, kind="accumulating conveyor", index_s=0.0))
    (found,) = cycles = mold_cycles(case, studies, replications=20)
    rows = str(activity([found], "m").to_dict())
    assert "molding machine" in rows and "operator" in rows
    assert found.critical and set(found.critical) <= {step.name for step in found.steps}
    (rate,) = rates(case, cycles, replications=10)
    assert rate.limited_by in {"molding", "pouring", "cooling", "flasks", "shake-out", "closing"}
    worth = {row.station: row.gain_per_h for row in seconds_saved(plan(case, cycles[0]), seed=3, replications=10)}
    assert len(worth) > 1 and (max(worth.values()) > 0.2) == (rate.limited_by != "cooling"), worth
    print(name, found.critical, rate.limited_by, {at: round(gain, 2) for at, gain in worth.items()})


def test_the_slower_of_two_on_a_turntable_sets_each_cycle():
    """Exponential 20 and 15 s, turn 4 s, nothing downstream: 4 + 20 + 15 - 1/(1/20 + 1/15) = 30.42857 s."""
    one = small(
        "turntable", kinds.TABLE, {"make": (20, 0), "load": (0, 0), "set": (15, 0), "pouring": (0, 0)}, index_s=4
    )
    rng, names = np.random.default_rng(2), one.net.names
    seconds = lognormal_s(one, molds=2_100, runs=60)
    for name, mean in (("make", 20.0), ("set", 15.0)):
        seconds[:, names.index(name)] = rng.exponential(mean, (2_100, 60))
    assert per_hour(one, seconds, warm_up=100) == pytest.approx(3600 / 30.428571, rel=0.004)


@pytest.mark.parametrize(
    ("m1", "m2", "places", "per_h"), [(20, 15, 0, 136.216), (20, 15, 1, 152.229), (24, 24, 1, 112.5)]
)
def test_a_station_apart_is_a_two_station_line_with_a_buffer(m1, m2, places, per_h):
    """Exponential molding and setting with b places: the two-station formula (blocking after service); computed."""
    times = {"make": (m1, 0), "load": (0, 0), "set": (m2, 0), "pouring": (0, 0)}
    one = small("setting station", kinds.APART, times, setting_places=places)
    rng, names = np.random.default_rng(4), one.net.names
    seconds = lognormal_s(one, molds=2_100, runs=60)
    for name, mean in (("make", m1), ("set", m2)):
        seconds[:, names.index(name)] = rng.exponential(mean, (2_100, 60))
    assert per_hour(one, seconds, warm_up=100) == pytest.approx(per_h, rel=0.006)


@pytest.mark.parametrize(("flasks", "per_h"), [(2, 88.52459), (3, 99.18699), (10, 117.18086)])
def test_flasks_in_a_loop_are_a_closed_line_of_two(flasks, per_h):
    """Exponential molding 30 s and punch-out 24 s: mu1 (1 - r^F) / (1 - r^(F + 1)), r = mu1 / mu2; computed."""
    times = {"make": (30, 0), "walk": (0, 0), "set": (0, 0), "closing": (0, 0), "pouring": (0, 0), "shake-out": (24, 0)}
    one = small("flask loop", kinds.DRAGS, times, flasks=flasks, open_drags=20, mold_positions=20)
    rng, names = np.random.default_rng(6), one.net.names
    seconds = lognormal_s(one, molds=2_100, runs=60)
    for name, mean in (("make", 30.0), ("shake-out", 24.0)):
        seconds[:, names.index(name)] = rng.exponential(mean, (2_100, 60))
    assert per_hour(one, seconds, warm_up=100) == pytest.approx(per_h, rel=0.006)


def test_five_positions_on_one_index_are_slower_than_the_slowest_mean():
    """Five lognormals of mean 40 s, cv .2, index 7 s: 56.8232 s, where the mean alone says 47 s; computed."""
    method = kinds.method(kinds.MAKE, *((f"set{n}", f"operator {n}", {"after": (INDEX,)}) for n in (1, 2, 3, 4)))
    times = {"make": (40, 0.2), **{f"set{n}": (40, 0.2) for n in (1, 2, 3, 4)}, "pouring": (0, 0)}
    one = small("indexing line", method, times, index_s=7.0)
    assert per_hour(one, lognormal_s(one, molds=2_100, runs=40), warm_up=100) == pytest.approx(63.3544, rel=0.002)


def test_molds_cool_before_shake_out_on_an_index():
    """Where places are few the index waits until the mold that comes to shake-out is cool; the loop counts N places."""
    times = {"make": (10, 0), "load": (1, 0), "set": (5, 0), "pouring": (8, 0)}
    one = small("indexing line", kinds.STRING, times, cool_s=600.0, index_s=2.0, cooling_places=20)
    assert critical_loop(one.net, fixed_s(one))[0] == pytest.approx((8 + 600 + 2) / 20)
    case, studies = cased("string_hand")
    short = replace(case, line=replace(case.line, cooling_places=60))
    found = simulate(plan(short, mold_cycles(short, studies, replications=5)[0]), wanted=0.0, most=10)
    assert found.early_share > 0.9 and found.in_mold_min >= 25.0 - 1e-6
    assert found.molds_per_h == pytest.approx(3600.0 / ((8 + 1500 + 3) / 60), rel=0.01)


def test_stops_of_one_station_stand_the_whole_index():
    """Nothing decouples: each station adds its own running time, times length over interval of its stops."""
    case, studies = cased("string_mask")
    row = mold_cycles(case, studies, replications=20)[0]
    drawn = run(plan(case, row), replications=20, key=(1, 0))[1]
    by_step = {row.steps[a.station].name if a.station < len(row.steps) else "pouring" for a in drawn.added}
    assert by_step == {"set", "pouring"}
    bare = simulate(plan(replace(case, line=replace(case.line, stops=())), row), wanted=0.0, most=50, seed=1)
    stopped = simulate(plan(case, row), wanted=0.0, most=400, seed=1)
    added = 7.5 * 3 / 60 + 5.5 * 2 / 90
    assert 3600 / stopped.molds_per_h - 3600 / bare.molds_per_h == pytest.approx(added, abs=0.06)


def test_gains_leave_out_places_that_a_line_does_not_have():
    """No mold positions before pouring on an index; elsewhere they are tried."""
    for name, tried in (("string_hand", False), ("turntable", True)):
        case, studies = cased(name)
        found = gains(case, mold_cycles(case, studies, replications=5)[0], None, replications=4)
        assert any(parts[0][0] == "positions" for parts in (g.parts for g in found)) is tried


def test_steps_that_a_kind_cannot_have_are_refused():
    """A machine step after core setting where the machine has let the mold go waits for itself."""
    with pytest.raises(OutOfRange, match="ring"):
        small("setting station", kinds.PLATE, {}).net  # noqa: B018


def test_a_case_states_only_what_its_kind_of_line_has(tmp_path):
    """Facts of another kind and stops of a station that the line lacks are faults; steps may wait for the index."""
    place = shutil.copytree(DEMO, tmp_path / "case")
    text = (place / "case.toml").read_text(encoding="utf-8")
    (place / "case.toml").write_text(
        text.replace("[line]", '[line]\nkind = "indexing line"\nflasks = 80', 1).replace(
            'station = "pouring"', 'station = "outer row"', 1
        ),
        encoding="utf-8",
    )
    with pytest.raises(StudyError) as refused:
        folder.read(place)
    assert {fault.column for fault in refused.value.faults} == {
        "line.flasks",
        "line.mold_positions",
        "line.stop[2].station",
    }
    fixed = text.replace("[line]", '[line]\nkind = "indexing line"\nindex_s = 5', 1)
    fixed = fixed.replace("index_s = 8\n", "", 1).replace("mold_positions = 6\n", "", 1)
    first = '[[method.manual.step]]\nname = "make mold halves"'
    (place / "case.toml").write_text(fixed.replace(first, f'{first}\nafter = ["index"]', 1), encoding="utf-8")
    case = folder.read(place)
    assert case.line.kind == "indexing line" and case.methods[0].steps[0].after == (INDEX,)
    (place / "case.toml").write_text(text.replace(first, f'{first}\nafter = ["index"]', 1), encoding="utf-8")
    with pytest.raises(StudyError, match="after"):
        folder.read(place)


@pytest.mark.parametrize(
    ("kind", "step", "after", "told"),
    [
        ("turntable", "set", ("make",), "made in the cycle before"),
        ("turntable", "set", (), "waits for the mold"),
        ("turntable", "set", (INDEX,), ""),
        ("setting station", "close", ("set",), "core setting comes after it"),
        ("setting station", "set", ("make",), ""),
        ("flask loop", "set", (), "waits for the mold"),
        ("indexing line", "close", ("set",), ""),
    ],
)
def test_steps_wait_as_their_kind_of_line_lets_them(tmp_path, kind, step, after, told):
    """Core setting off the machine waits for a mold that has come; the machine never waits for it in its cycle."""
    steps = {"make": ("machine", ()), "close": ("machine", ()), "set": ("operator", ())}
    steps["set"] = ("operator", (INDEX,) if kind in ("turntable", "indexing line") else ("make",))
    steps[step] = (steps[step][0], after)
    written = "".join(
        f'[[method.manual.step]]\nname = "{name}"\nby = "{by}"\nconstant_s = 5\nafter = {list(waits)}\n'
        for name, (by, waits) in steps.items()
    )
    place = shutil.copytree(DEMO, tmp_path / "case")
    text = (place / "case.toml").read_text(encoding="utf-8")
    if kind == "indexing line":
        text = text.replace("mold_positions = 6\n", "")
    head = text.partition("[method.manual]")[0].replace("[line]", f'[line]\nkind = "{kind}"', 1)
    methods = f'[method.manual]\n{written}[method."core setter"]\nmechanised = true\n[method."manual, redesigned"]\n'
    (place / "case.toml").write_text(head + methods.replace("'", '"'), encoding="utf-8")
    if told:
        with pytest.raises(StudyError, match=told):
            folder.read(place)
    else:
        assert folder.read(place).line.kind == kind


@pytest.mark.slow
def test_the_page_says_how_molds_move():
    """A sentence for every kind but the one that was there before; worker and step names are given as they are."""
    for name, words in (("turntable", "table turns"), ("flask_open", "4 open drags"), ("index_hand", "together")):
        case, studies = cased(name)
        cycles = mold_cycles(case, studies, replications=5)
        assert set(cycles[0].critical) <= {bar.step for bar in cycles[0].bars}
        closer = look_closer(replace(case, baseline="m"), cycles, "HUB", rates(case, cycles, replications=4))
        assert words in " ".join(flow(case, closer))
        rows = tables.stations(closer)
        assert {"operator", "molding"} <= {row["station"] for row in rows}
        assert "set" in next(row["one second less, molds/h"] for row in rows if row["station"] == "operator")
