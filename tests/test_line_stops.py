"""Stops with one meaning: listed ones run on their station's own time, others once on the whole line; none silent."""

import re
import shutil
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from line_kind_cases import STOPS, cased
from test_line_simulate import case, cycle

from coreset.case import Line, Stop
from coreset.case.stops import left_by, list_leaves, running
from coreset.errors import OutOfRange, StudyError
from coreset.line.departures import StationRow, passage
from coreset.line.line_plan import plan
from coreset.line.mold_cycle import mold_cycles
from coreset.line.notes import notes
from coreset.line.rates import rates
from coreset.line.report import sentences
from coreset.line.service_times import Work, services
from coreset.line.simulation import passed, simulate
from coreset.store.folder import read, write

ROOT = Path(__file__).parents[1]
PLATE = Stop(cause="plate", station="molding", every_min=45.0, lasts_min=5.0)
METAL = Stop(cause="metal", station="pouring", every_min=45.0, lasts_min=5.0)


def on(line, **changes):
    """A case of today's form with this line."""
    return replace(case(line, 0.0), form=2, **changes)


def test_share_that_runs_by_what_was_entered():
    """List and other stops, uptime alone, nothing; form 1 takes the list out of the uptime, and assumes none either."""
    three = [replace(PLATE, station=name) for name in ("molding", "pouring", "shake-out")]
    assert left_by([PLATE]) == pytest.approx(0.9)
    # Three stations of efficiency .9: .75 where no place stands between (operation-dependent), .9 with unlimited ones;
    # Gershwin 1994 and Li & Meerkov, lecture notes [reprinted].
    assert list_leaves(three) == pytest.approx((0.75, 0.9))
    told = [
        (Line(stops=(PLATE,), other_stops_pct=10.0), 2, 0.9, "list"),
        (Line(stops=(PLATE,)), 2, 1.0, "list"),
        (Line(other_stops_pct=10.0), 2, 0.9, "list"),
        (Line(uptime=0.7), 2, 0.7, "uptime"),
        (Line(), 2, 1.0, "nothing"),
        (Line(uptime=0.72, stops=(PLATE,)), 1, 0.8, "form_1"),
        (Line(uptime=0.95, stops=(PLATE,)), 1, 1.0, "form_1"),
        (Line(uptime=0.7), 1, 0.7, "uptime"),
        (Line(), 1, 1.0, "nothing"),
        (Line(stops=(PLATE,)), 1, 1.0, "list"),
    ]
    for line, form, share, how in told:
        found = running(line, form)
        assert (found.share, found.how) == (pytest.approx(share), how)
        said = " ".join(sentences.note(note) for note in notes(replace(case(line, 0.0), form=form), ()))
        assert bool(said) == (how not in ("list", "uptime") or (bool(line.stops) and line.other_stops_pct is None))
        assert "{" not in said and ("= 20.0 %" in said or "20.0 %" in said or share != pytest.approx(0.8))


def test_a_missing_uptime_is_the_same_from_code_and_from_a_folder(tmp_path):
    """Built in code, written and read again, in either form: the line never stops, and the note says so."""
    for form in (1, 2):
        built = replace(case(Line(), 0.0), form=form)
        write(built, tmp_path / str(form))
        for one in (built, read(tmp_path / str(form))):
            assert running(one.line, one.form).share == 1.0
            (note,) = notes(one, ())
            assert note.code == "stops_nothing" and "never stops" in sentences.note(note)


@pytest.mark.parametrize(
    ("line", "form", "says"),
    [
        # by hand: 100 (1 - .78/.9) = 13.3, said once, for a single stop leaves the same with places and without
        (Line(uptime=0.78, stops=(PLATE,)), 2, r"alone, or the list .* = 13\.3 without places [a-z ]+, got"),
        (Line(uptime=0.95, stops=(PLATE,)), 2, "list is too long or 0.95 too high, got 0.95 and a list of 1 stops"),
        (Line(uptime=0.78, other_stops_pct=5.0), 2, "uptime must be one of them"),
        (Line(other_stops_pct=5.0), 1, "other_stops_pct must be form = 2"),
    ],
)
def test_a_case_built_in_code_is_refused_as_its_folder_is(line, form, says, tmp_path):
    """What excludes one another is refused in code by the words of the files, never left out in silence."""
    built = replace(case(line, 0.0), form=form)
    with pytest.raises(OutOfRange, match=says):
        rates(built, [cycle()], replications=2)
    with pytest.raises(StudyError) as told:
        write(built, tmp_path)
    fault = told.value.faults[0]
    assert re.search(says, f"{str(fault.column).split('.')[-1]} must be {fault.expected}, got {fault.found}")


@pytest.fixture
def folder(tmp_path):
    """The demo, to be changed."""
    return Path(shutil.copytree(ROOT / "studies" / "ostrander_bend", tmp_path / "case"))


def test_an_uptime_with_a_list_is_refused_with_the_arithmetic(folder):
    """Either alone is read; both are a fault that says which other_stops_pct to enter, or that the list is too long."""
    text = (folder / "case.toml").read_text(encoding="utf-8")
    assert "uptime" not in text and read(folder).line.other_stops_pct == 19.5
    given = text.replace("other_stops_pct = 19.5", "uptime = 0.78")
    (folder / "case.toml").write_text(given, encoding="utf-8")
    with pytest.raises(StudyError) as told:
        read(folder)
    (fault,) = told.value.faults
    assert (fault.column, "row" in str(fault)) == ("line.uptime", True) and "0.78 and a list of 2 stops" in fault.found
    # by hand: 1/(1 + 3/55 + 4/70) = .8995, 70/74 = .9459; 100(1 - .78/.8995) = 13.3, 100(1 - .78/.9459) = 17.5
    assert "100 (1 - 0.78 / 0.8995) = 13.3" in fault.expected and "100 (1 - 0.78 / 0.9459) = 17.5" in fault.expected
    (folder / "case.toml").write_text(given.replace("uptime = 0.78", "uptime = 0.93"), encoding="utf-8")
    with pytest.raises(StudyError, match="list is too long or 0.93 too high"):
        read(folder)
    both = text.replace("other_stops_pct = 19.5", "other_stops_pct = 19.5\nuptime = 0.78").split("[[line.stop]]")
    alone = both[0] + "[setter]" + both[-1].split("[setter]")[1]
    (folder / "case.toml").write_text(alone, encoding="utf-8")
    with pytest.raises(StudyError, match="one of them"):
        read(folder)
    (folder / "case.toml").write_text(alone.replace("other_stops_pct = 19.5\n", ""), encoding="utf-8")
    assert read(folder).line.uptime == 0.78


def test_a_case_of_0_1_0_keeps_its_meaning_and_says_so(tmp_path):
    """Uptime .75 over what 3 min in 60 of running leave: 21.25 % other stops; written again it stays so."""
    old = read(ROOT / "tests" / "version_0_1_0" / "tamarack_flat")
    assert old.form == 1 and running(old.line, old.form).share == pytest.approx(0.75 / (60 / 63))
    said = " ".join(sentences.note(note) for note in notes(old, ()))
    assert "1 − 0.75 / 0.9524 = 21.2 %" in said and "form = 2" in said
    write(old, tmp_path / "again")
    assert read(tmp_path / "again") == old
    mixed = (tmp_path / "again" / "case.toml").read_text(encoding="utf-8").replace("uptime = ", "other_stops_pct = ")
    (tmp_path / "again" / "case.toml").write_text(mixed, encoding="utf-8")
    with pytest.raises(StudyError, match="form = 2 at the head"):
        read(tmp_path / "again")


def test_stops_come_on_the_station_s_own_running_time():
    """Cycle 15 s, pourer 8 s, one stop of 5 min every 45 min of own running: 226.57 molds an hour; at a machine that
    runs 12 s of the 15 s 220.41 (seconds per mold = cycle + own time x 5/45, no place between; computed)."""
    steady = SimpleNamespace(pattern="HUB", method="manual", sample_s=np.full(5, 15.0), mean_s=15.0,
                             draws_s=np.full(2, 15.0), shares={"machine": (0.8, 0.2)})  # fmt: skip
    line = Line(mold_positions=1, pouring_s=8.0, cooling_places=400, shakeout_s=1.0, other_stops_pct=0.0)
    for stop, places, expected in ((PLATE, 1, 220.408), (METAL, 1, None)):
        one = rates(on(replace(line, stops=(stop,), mold_positions=places)), [steady], replications=200)[0]
        bare = rates(on(line), [steady], replications=2)[0]
        assert bare.molds_per_h == pytest.approx(240.0)
        if expected:
            assert one.molds_per_h == pytest.approx(expected, rel=0.005)
        else:
            # one place and the pourer's own slack bridge a little: between none and all of the stop's time
            assert 226.573 * 0.995 < one.molds_per_h < 240.0
    assert plan(replace(on(replace(line, other_stops_pct=None)), form=1), steady).works[0].own == 1.0


def test_other_stops_multiply_the_line_once():
    """10 % of the schedule is 10 % of the molds, whichever station limits."""
    for pouring in (10.0, 40.0):
        line = Line(mold_positions=3, pouring_s=pouring, cooling_places=80, stops=(PLATE, METAL), other_stops_pct=0.0)
        found = [rates(on(replace(line, other_stops_pct=pct)), [cycle()], replications=10)[0] for pct in (0.0, 10.0)]
        assert found[1].molds_per_h == pytest.approx(0.9 * found[0].molds_per_h)


@given(data=st.data())
@settings(max_examples=40, deadline=None)
def test_a_faster_station_never_holds_the_line_longer(data):
    """Total time of a run from the start, stops thinned by the same random numbers: path by path not longer."""
    count = data.draw(st.integers(2, 4))
    names = ("molding", "pouring", "outer row", "shake-out")[:count]
    means = [data.draw(st.sampled_from([5.0, 9.0, 10.0, 20.0])) for _ in names]
    stops = [Stop(cause=n, station=n, every_min=data.draw(st.sampled_from([0.5, 3.0])), lasts_min=1.0) for n in names]
    places = tuple(data.draw(st.integers(0, 4)) for _ in names[1:])
    faster, share = data.draw(st.integers(0, count - 1)), data.draw(st.sampled_from([0.5, 0.9, 0.999]))
    rng = np.random.default_rng(data.draw(st.integers(0, 2**32)))
    times = [mean * rng.lognormal(0.0, 0.3, 50) for mean in means]

    def total(factor):
        works = [
            Work(station=n, seconds=t * (factor if j == faster else 1.0))
            for j, (n, t) in enumerate(zip(names, times, strict=True))
        ]
        drawn = services(works, stops, size=(150, 20), key=(7, 1))
        return passage(drawn.total_s, StationRow(places=places)).leave[-1, -1]

    assert (total(share) <= total(1.0) + 1e-9).all()


@pytest.mark.parametrize("name", STOPS)
def test_a_faster_step_never_holds_a_line_of_another_kind_longer(name):
    """Index, pallets, a station apart, each with its stops: any step a fifth shorter, stops thinned, all molds out."""
    listed, studies = cased(name, cycles=200)
    found = plan(listed, mold_cycles(listed, studies, replications=5)[0])

    def out(works):
        return passed(found, services(works, found.stops, size=(250, 10), key=(7, 1)).total_s).leave[-1, -1]

    before = out(found.works)
    for j, work in enumerate(found.works):
        shorter = replace(work, seconds=work.seconds * 0.8)
        assert (out((*found.works[:j], shorter, *found.works[j + 1 :])) <= before + 1e-9).all(), work.step


def test_the_mean_rate_never_falls_as_pouring_gets_faster():
    """The pourer passes from slowest to fast: no step down anywhere, also where another station becomes the slowest."""
    line = Line(mold_positions=3, cooling_places=60, shakeout_s=10.0, stops=(PLATE, replace(METAL, lasts_min=3.0)),
                other_stops_pct=8.0)  # fmt: skip
    found = [simulate(plan(on(replace(line, pouring_s=s)), cycle()), wanted=0.0, most=100).molds_per_h
             for s in (34.0, 30.0, 27.0, 26.0, 25.0, 22.0, 16.0)]  # fmt: skip
    assert (np.diff(found) > 0).all()
