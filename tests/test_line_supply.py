"""Cores beyond their setting: breakage, trips, assembly, inserts in the mask. No rate is assumed."""

import shutil
from dataclasses import replace
from importlib.resources import files
from types import SimpleNamespace

import chart_cases
import numpy as np
import pytest

from coreset.case import Core, Step
from coreset.errors import StudyError
from coreset.line.core_supply import REPLACE, TRIP, core_supply
from coreset.line.mold_cycle import mold_cycles
from coreset.line.notes import method_notes
from coreset.line.report import sentences
from coreset.line.report.core_supply import lasts, supply
from coreset.line.setter_hold import fits
from coreset.store import folder

PLATE = (
    Step(name="make", by="machine", constant_s=20.0),
    Step(name="load", by="operator", constant_s=9.0),
    Step(name="set", by="operator", constant_s=15.0, after=("make",)),
    Step(name="close", by="machine", constant_s=6.0, after=("set",)),
)
MASK = (
    Step(name="make", by="machine", constant_s=20.0),
    Step(name="load", by="operator", constant_s=9.0, after_previous=("lower",)),
    Step(name="lower", by="setter", constant_s=8.0, after=("make", "load")),
    Step(name="filter", by="operator", constant_s=5.0, after=("lower",), places="F"),
    Step(name="close", by="machine", constant_s=6.0, after=("lower", "filter")),
)


def cased(*, hand=None, mask=None, cores=(Core(pattern="HUB", core="1", per_mold=6, mass=2.0, cost=3.0),), **facts):
    """One pattern with constant steps under both methods."""
    case = chart_cases.case(**facts)
    ways = tuple(
        replace(way, steps=steps, **(more or {}))
        for way, steps, more in zip(case.methods, (PLATE, MASK), (hand, mask), strict=True)
    )
    return replace(case, methods=ways, patterns=case.patterns[:1], cores=cores)


def cycle_s(case):
    """Mold cycle by method. [s]"""
    return {row.method: row.mean_s for row in mold_cycles(case, (), replications=10)}


def test_nothing_is_taken_where_nothing_is_entered():
    """Hand: 20 + 15 + 6; mask: 20 + 8 + 5 + 6; no working, no steps, no people, no losses."""
    case = cased()
    assert cycle_s(case) == pytest.approx({"manual": 41.0, "core setter": 39.0})
    known = core_supply(case, "HUB", "manual")
    assert (known.broken, known.replace_s, known.trip_s, known.people_h, known.losses) == (0, 0, 0, 0, 0)
    assert not supply(case)


def test_broken_cores_hold_up_the_mold_or_are_found_while_loading():
    """Six cores, 1 % broken, 20 s each: 1.2121 s a mold (by hand) that waits; half of them broken while loading."""
    broken = {"breakage_pct": 1.0, "breakage_s": 20.0}
    at_mold = cased(hand=broken, mask=broken)
    more = 6 * 0.01 / 0.99 * 20
    assert more == pytest.approx(1.2121, abs=5e-5)
    assert cycle_s(at_mold) == pytest.approx({"manual": 41.0 + more, "core setter": 39.0 + more})
    found = {row.method: row for row in mold_cycles(at_mold, (), replications=10)}
    assert REPLACE in {bar.step for bar in found["manual"].bars} and REPLACE in found["core setter"].critical
    long = cased(mask={"breakage_pct": 50.0, "breakage_s": 6.0, "breakage_found": "while loading"})
    loaded_s = 8 + 5 + 9 + 36 + 17 / 64 + 11 * 6 / 128 + 5 * 21 / 256
    slow = mold_cycles(long, (), replications=400)[1]
    assert slow.mean_s == pytest.approx(loaded_s, abs=0.15), "loading sets the pace where 3 or more break, else 39 s do"
    assert core_supply(at_mold, "HUB", "manual").losses == pytest.approx(6 * 0.01 / 0.99 * 3.0)


def test_a_broken_core_comes_at_random_and_outlasts_the_wait_that_would_hold_its_mean():
    """17 s of waiting hold the 1.2 s of the mean mold; of 20 s a core, k broken in 0.99^6, 6 b, 21 b^2 ... of the molds
    (negative binomial), 3, 23, 43 s are left: 0.217 s a mold. The interval has none of what a few events happen to be.
    """  # fmt: skip
    broken = {"breakage_pct": 1.0, "breakage_s": 20.0}
    loading = cased(mask={**broken, "breakage_found": "while loading"})
    found = {row.method: row for row in mold_cycles(loading, (), replications=2_000)}
    left = sum(0.99**6 * ways * 0.01**k * (20 * k - 17) for k, ways in ((1, 6), (2, 21), (3, 56)))
    assert found["manual"].mean_s == pytest.approx(41.0)
    assert found["core setter"].mean_s == pytest.approx(39.0 + left, abs=0.02)
    at_mold = mold_cycles(cased(hand=broken), (), replications=200)[0]
    assert at_mold.high_s - at_mold.low_s < 1e-6, "no study errs here"
    share = (np.abs(at_mold.sample_s - 41.0) < 1e-6).mean()
    assert share == pytest.approx(0.99**6, abs=0.01), "molds without a broken core"


@pytest.mark.parametrize(
    ("by", "cycle", "people_h"),
    [
        ("operator, mold waits", 41.0 + 9.0, 0.0),
        ("operator, beside", 0.9 * 41.0 + 0.1 * (90 + 9 + 15), 0.0),
        ("another person", 41.0, 9.0 / 3600),
    ],
)
def test_trips_take_the_molds_time_or_anothers(by, cycle, people_h):
    """60 cores a trip of 90 s, six a mold: a mold in ten has all 90 s, which the operator's wait of 17 s cannot hold.

    By hand: beside the line that mold takes trip, load and set, 114 s, the others 41 s; the mean of 9 s would be held.
    """
    case = cased(hand={"cores_per_trip": 60, "trip_min": 1.5, "trips_by": by, "supply_places": 2})
    found = mold_cycles(case, (), replications=400)[0]
    assert found.mean_s == pytest.approx(cycle, abs=0.25)
    known = core_supply(case, "HUB", "manual")
    assert known.people_h == pytest.approx(people_h)
    assert known.last_molds == pytest.approx(20.0), "two places of 60 cores last 20 molds"
    if by != "another person":
        assert (found.sample_s > 100).mean() == pytest.approx(0.1, abs=0.015)
        assert TRIP in {bar.step for bar in found.bars}
    if by == "operator, beside":
        slow = cased(hand={"cores_per_trip": 6, "trip_min": 0.5, "trips_by": by})
        assert cycle_s(slow)["manual"] == pytest.approx(9 + 15 + 30.0), "more than the wait holds sets the pace"
        two = cased(hand={"cores_per_trip": 4, "trip_min": 0.5, "trips_by": by})
        assert mold_cycles(two, (), replications=400)[0].mean_s == pytest.approx(24 + 45.0, abs=0.2), "one trip or two"


def test_an_insert_in_the_mask_is_held_and_not_placed_by_hand():
    """The filter's step is left out with the setter where the mask takes it; else its hand time stays, unheld."""
    core = Core(pattern="HUB", core="1", per_mold=6, mass=2.0)
    insert = Core(pattern="HUB", core="F", kind="insert", per_mold=1, mass=0.1)
    with_mask = cased(cores=(core, insert))
    aside = cased(cores=(core, replace(insert, in_mask=False)))
    assert cycle_s(with_mask)["core setter"] == pytest.approx(34.0)
    assert cycle_s(aside)["core setter"] == pytest.approx(39.0)
    assert {row.core for row in fits(with_mask)[0].cores} == {"1", "F"}
    assert {row.core for row in fits(aside)[0].cores} == {"1"}
    assert with_mask.core_count("HUB") == 6


def test_the_working_gives_what_the_line_takes():
    """Each line's numbers, worked out, are its value."""
    ways = {"breakage_pct": 2.0, "breakage_s": 20.0, "cores_per_trip": 60, "trip_min": 1.5, "assembly_s": 30.0}
    case = cased(hand={**ways, "rework_pct": 1.5, "rework_cost": 8.0})
    lines = supply(case)
    assert len(lines) == 4
    for one in lines:
        numbers = one.numbers.replace("·", "*").replace("−", "-")
        assert eval(numbers) == pytest.approx(one.value, rel=1e-3), one.what  # noqa: S307
    assert {one.unit for one in lines} == {"s", "h", "USD"}


def test_the_page_says_how_long_cores_at_the_line_last():
    """Two places of 60 cores, six a mold, 40 molds an hour: 20 molds, 30 min; nothing where no places are entered."""
    rate = SimpleNamespace(pattern="HUB", method="manual", molds_per_h=40.0)
    said = lasts(cased(hand={"cores_per_trip": 60, "trip_min": 1.5, "supply_places": 2}), rate)
    assert "20 molds" in said[0] and "30 min" in said[0]
    assert not lasts(cased(), rate)


def test_a_step_places_a_core_that_there_is(tmp_path):
    """A slip in `places` is a fault of the folder."""
    place = shutil.copytree(files("coreset.studies") / "ostrander_bend", tmp_path / "case")
    text = (place / "case.toml").read_text(encoding="utf-8")
    step = '[[method.manual.step]]\nname = "make mold halves"'
    (place / "case.toml").write_text(text.replace(step, f'{step}\nplaces = "no such core"', 1), encoding="utf-8")
    with pytest.raises(StudyError, match="no such core"):
        folder.read(place)


@pytest.mark.parametrize(
    ("entered", "missing", "told"),
    [
        ({"trip_min": 4.0}, {"cores_per_trip": 40}, "trips for cores are left out"),
        ({"supply_places": 3}, {"cores_per_trip": 40}, "how long the cores at the line last is left out"),
        ({"rework_pct": 2.0}, {"rework_cost": 5.0}, "rework is left out"),
        ({"rework_cost": 5.0}, {"rework_pct": 2.0}, "rework is left out"),
        ({"breakage_s": 20.0}, {"breakage_pct": 1.0}, "broken cores are left out"),
        ({"breakage_pct": 1.0}, {"breakage_s": 20.0}, "broken cores are left out"),
    ],
)
def test_half_an_entry_is_told(entered, missing, told):
    """What needs two figures and has one is named as left out; with both, or with none, nothing is said."""
    free = (Core(pattern="HUB", core="1", per_mold=6, mass=2.0),)

    def said(**hand):
        return " ".join(sentences.note(note) for note in method_notes(cased(hand=hand, cores=free), ()))

    assert told in said(**entered) and "manual" in said(**entered)
    assert not said() and not said(**entered, **missing)
    if "breakage_pct" in entered:
        assert not method_notes(cased(hand=entered), ()), "the cost of a core is the other half as well"
