"""Standards that nobody timed: what the elements of others come to, by hand on times that lie on a line."""

import math
from dataclasses import replace

import numpy as np
import pytest
from study_cases import case, study

from coreset.case import Core, Driver, Lift, Pattern, Range
from coreset.study.drivers import drivers
from coreset.study.estimate import data, estimated, method_data, parts, timed_by, unknown
from coreset.study.pooling import by_pattern, standards

MASSES = {"P1": 6.0, "P2": 7.0, "P3": 8.5, "P4": 9.5, "P5": 11.0, "P6": 12.0}


def row(**elements):
    """A standard whose elements take these times."""
    s = study([(1, name, seconds) for name, seconds in elements.items()], list(elements))
    return standards(case([s]), resamples=2)[0]


def known(times, more=(), **facts):
    """A case of patterns with these elements' times by name, and some more with a core alone; its pooled standards."""
    masses = MASSES | dict(more)
    timed = [
        study(
            [(c, name, s) for c in (1, 2, 3) for name, s in elements.items()], list(elements), study=code, pattern=code
        )
        for code, elements in times.items()
    ]
    found = case(
        timed,
        patterns=tuple(Pattern(pattern=code, molds_per_year=Range.exactly(1e3), runs_per_year=5) for code in masses),
        cores=tuple(Core(pattern=code, core="A", mass=mass) for code, mass in masses.items() if mass),
        **facts,
    )
    return found, {key: one for key, one in by_pattern(standards(found, resamples=50)).items() if not one.estimated}


def test_parts_of_standards_by_hand():
    """a in both; b and c in one each are the rest; pooled to 6 s of 2 and 1, they keep their shares."""
    assert {n: x.tolist() for n, x in parts({"P": row(a=2.0, b=1.0), "Q": row(a=4.0, c=3.0)}).items()} == {
        "a": [2.0, 4.0], "": [1.0, 3.0],
    }  # fmt: skip
    assert {n: x.tolist() for n, x in parts({"P": row(a=2.0, b=1.0), "Q": row(b=2.0, a=4.0)}).items()} == {
        "a": [2.0, 4.0], "b": [1.0, 2.0],
    }  # fmt: skip
    pooled = replace(row(a=2.0, b=1.0), standard_s=6.0)
    assert parts({"P": pooled, "Q": row(a=4.0)})["a"].tolist() == [4.0, 4.0]
    assert parts({"P": pooled, "Q": row(a=4.0)})[""].tolist() == [2.0, 0.0]
    assert parts({"P": row(a=0.0), "Q": row(a=4.0)})["a"].tolist() == [0.0, 4.0]
    assert parts({"P": row(b=1.0), "Q": row(c=3.0)})[""].tolist() == [1.0, 3.0]


def test_standards_of_a_method_are_those_timed():
    """Neither another method's nor an estimate is data for the next."""
    one, two = row(a=2.0), replace(row(a=3.0), method="setter")
    found = timed_by(
        {("P", "manual"): one, ("P", "setter"): two, ("Q", "manual"): replace(one, estimated=True)}, "manual"
    )
    assert found == {"P": one}


def test_four_patterns_are_enough_and_three_are_not():
    """Two coefficients and two left to judge the scatter."""
    times = {code: {"set": 2 * mass} for code, mass in MASSES.items()}
    for count in (3, 4):
        found, pooled = known({code: times[code] for code in list(times)[:count]})
        assert (method_data(found, "manual", timed_by(pooled, "manual")) is None) == (count < 4)
        assert len(data(found, pooled)) == (count == 4)


def test_a_driver_not_known_of_every_pattern_is_not_used():
    """No lift of P6's core is described: the way is unknown there, and the time goes by what is known of all."""
    lifts = tuple(
        Lift(task=code, method="manual", pattern=code, core="A", horizontal_origin=30.0,
             horizontal_destination=10.0 * k, vertical_origin=70.0, vertical_destination=70.0, lifts_per_mold=1.0)
        for k, code in enumerate(MASSES, start=3) if code != "P6"
    )  # fmt: skip
    found, pooled = known({code: {"set": 2 * mass} for code, mass in MASSES.items()}, lifts=lifts)
    assert unknown(found, "manual") == {"distance": ["P6"]}
    assert data(found, pooled)[0].elements[0].drives.keys() == {"cores", "mass", "heaviest"}
    assert data(found, pooled)[0].elements[0].fitted.drives == ("mass",)


def test_what_a_person_states_of_the_method_is_taken():
    """Constant by statement, against what the rule would say; a statement on the other method is none of this one."""
    times = {code: {"set": 2 * mass} for code, mass in MASSES.items()}
    for method, names in (("manual", ()), ("core setter", ("mass",))):
        stated = (Driver(method=method, element="set", by="constant"),)
        found, pooled = known(times, drivers=stated)
        assert data(found, pooled)[0].elements[0].fitted.drives == names


@pytest.mark.parametrize(("mass", "nearest"), [(10.6, "P4"), (6.1, "P1")])
def test_an_estimate_is_the_sum_foretold_whatever_the_nearest_pattern_has(mass, nearest):
    """2 s a kg and a wait of 4 s in half of the patterns, 2 s in the mean: the estimate is their sum in any case.

    The nearest pattern's elements carry it: where it has no wait, on those that it has.
    """
    times = {code: {"set": 2 * m} | ({"wait": 4.0} if code in ("P2", "P4", "P6") else {}) for code, m in MASSES.items()}
    found, pooled = known(times, {"NEW": mass})
    one = data(found, pooled)[0]
    told = one.foretell(drivers(found, "NEW", "manual"))
    assert told == pytest.approx({"set": 2 * mass, "": told[""]}) and told[""] == pytest.approx(2.0, abs=1.5)
    middle = sum(told.values())
    near = min(pooled.values(), key=lambda row: abs(row.standard_s - middle))
    assert near.pattern == nearest
    new = estimated(found, pooled, resamples=20_000)[0]
    assert new.standard_s == pytest.approx(middle) == pytest.approx(new.with_all_s)
    assert sum(e.standard_s for e in new.elements) == pytest.approx(middle)
    assert np.median(new.draws_s) == pytest.approx(middle, rel=0.02)
    assert sum(x.mean() for x in new.cycle_standard_s.values()) == pytest.approx(middle)
    if nearest == "P4":
        assert [e.standard_s for e in new.elements] == pytest.approx([2 * mass, told[""]])
    assert (new.study, new.operator, new.cycles, new.estimated, new.cycles_needed) == ("", "", 0, True, 0)
    assert math.isnan(new.precision) and math.isnan(new.unaccounted_pct) and new.balance is None


@pytest.mark.parametrize("mass", [10.6, 6.1])
def test_an_estimate_does_not_ask_for_the_unit_of_time(mass):
    """The same studies in minutes: every element, end and draw is a sixtieth, nothing is read as counted."""
    made = []
    for unit in (1.0, 1 / 60):
        times = {
            code: {"set": 2 * m * unit} | ({"wait": 4.0 * unit} if code in ("P2", "P4", "P6") else {})
            for code, m in MASSES.items()
        }
        made.append(estimated(*known(times, {"NEW": mass}), resamples=50)[0])
    long, short = made
    for one, other in zip(long.elements, short.elements, strict=True):
        assert one.standard_s == pytest.approx(60 * other.standard_s) and one.standard_s > 0
        assert other.readings == other.excluded == other.missed == other.failed == other.readings_needed == 0
    assert long.draws_s == pytest.approx(60 * short.draws_s) and len(long.elements) == len(short.elements)
    assert short.standard_s == pytest.approx(sum(e.standard_s for e in short.elements))


def test_an_element_of_no_time_in_the_nearest_pattern_alone():
    """It is no rest of any time, and stays at 0."""
    times = {code: {"set": 2 * m} | ({"nil": 0.0} if code == "P4" else {}) for code, m in MASSES.items()}
    new = estimated(*known(times, {"NEW": 9.6}), resamples=50)[0]
    assert {e.element: e.standard_s for e in new.elements} == pytest.approx({"set": 19.2, "nil": 0.0})


def test_estimates_are_of_patterns_with_cores_that_nobody_timed():
    """One without cores, and those timed, are left out; the notes say when a driver lies outside what was timed."""
    found, pooled = known({code: {"set": 2 * m} for code, m in MASSES.items()}, {"BARE": 0.0, "IN": 8.0, "OUT": 20.0})
    new = {row.pattern: row for row in estimated(found, pooled, resamples=50)}
    assert {code: row.standard_s for code, row in new.items()} == pytest.approx({"IN": 16.0, "OUT": 40.0})
    notes = {code: {note.code: note.blanks for note in row.warnings} for code, row in new.items()}
    assert set(notes["IN"]) == {"estimated"} and set(notes["OUT"]) == {"estimated", "estimated_outside"}
    assert notes["IN"]["estimated"] == {"pattern": "IN", "method": "manual", "count": 6}


def test_draws_of_an_estimate_are_students_and_none_is_near_nothing():
    """Times that follow nothing: middle and quarters by Student's t, the far tail cut at a twentieth of the middle."""
    seconds = dict(zip(MASSES, (9.0, 31.0, 12.0, 28.0, 8.0, 20.0), strict=True))
    found, pooled = known({code: {"set": s} for code, s in seconds.items()}, {"NEW": 9.0})
    one, values = data(found, pooled)[0], drivers(found, "NEW", "manual")
    assert one.elements[0].fitted.drives == () and one.freedom == 5
    new = estimated(found, pooled, resamples=40_000)[0]
    middle, sd = 18.0, np.std(list(seconds.values()), ddof=1)
    assert one.spread(values) == pytest.approx(sd * math.sqrt(1 + 1 / 6)) and new.standard_s == pytest.approx(middle)
    quarter = 0.7267 * one.spread(values)  # t(5) at 75 %
    assert np.quantile(new.draws_s, [0.25, 0.75]) == pytest.approx([middle - quarter, middle + quarter], rel=0.02)
    assert new.draws_s.min() == pytest.approx(0.05 * middle)
    assert not np.array_equal(new.draws_s, estimated(found, pooled, resamples=40_000, seed=99)[0].draws_s)


def test_an_element_of_no_time_takes_none_elsewhere():
    """It stays at 0 and the others carry the sum; no estimate below 0 comes of a line that falls below it."""
    found, pooled = known({code: {"set": 2 * m, "nil": 0.0} for code, m in MASSES.items()}, {"NEW": 10.0})
    new = estimated(found, pooled, resamples=50)[0]
    assert {e.element: e.standard_s for e in new.elements} == pytest.approx({"set": 20.0, "nil": 0.0})
    falling, pooled = known({c: {"set": 2 * m, "less": 13.0 - m} for c, m in MASSES.items()}, {"NEW": 20.0})
    told = data(falling, pooled)[0].foretell(drivers(falling, "NEW", "manual"))
    assert told == pytest.approx({"set": 40.0, "less": 0.0})
    assert data(falling, pooled)[0].covers({"mass": 12.0}) and not data(falling, pooled)[0].covers({"mass": 12.1})
