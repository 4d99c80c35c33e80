"""The values of a case: what is looked up is found or refused, columns bear the unit, amounts their sign."""

import math

import pytest
from study_cases import CORE, case, readings, study

from coreset.case import Actual, Core, Lift, Method, Pattern, Place, Range
from coreset.case.actual import FIRST, SAVED
from coreset.case.fields import UNIT_SETS, column, meaning, says
from coreset.case.study import Readings

OTHER = Core(pattern="P2", core="A", mass=3.0)
PATTERN = Pattern(pattern="P1", molds_per_year=Range.exactly(1_000.0), runs_per_year=5)
METHOD = Method(method="manual", steps=())


def whole():
    """Two studies, two cores, one pattern, one method."""
    timed = [study([(1, "e", 10.0)], ["e"]), study([(1, "e", 9.0)], ["e"], study="S2", method="core setter")]
    return case(timed, patterns=(PATTERN,), methods=(METHOD,), cores=(CORE, OTHER))


def test_parts_are_found_by_their_codes():
    """A core goes by pattern and code, a study by pattern and method."""
    found = whole()
    assert found.pattern("P1") is PATTERN and found.method("manual") is METHOD
    assert found.core("P2", "A") is OTHER and found.cores_of("P1") == (CORE,)
    assert [s.study for s in found.studies_of(pattern="P1", method="core setter")] == ["S2"]
    assert found.studies_of(pattern="P2", method="core setter") == ()
    assert found.allowance_set("flat").lines[0].cause == "all" and found.allowance_set("none") is None


@pytest.mark.parametrize("ask", [lambda c: c.pattern("P9"), lambda c: c.method("P1"), lambda c: c.core("P1", "B")])
def test_a_part_that_is_not_there_is_refused(ask):
    """Nothing stands in for a part that the case does not have."""
    with pytest.raises(KeyError):
        ask(whole())


@pytest.mark.parametrize(("kind", "units"), [(kind, units) for units in UNIT_SETS for kind in (Lift, Core)])
def test_a_column_bears_the_unit_of_the_set(kind, units):
    """Fields with a kind of unit end in the set's suffix, all others are named as they are; each has a meaning."""
    for field in (f for f in kind.__dataclass_fields__.values() if "meaning" in f.metadata):
        unit = field.metadata["unit"]
        assert column(field, units) == (f"{field.name}_{UNIT_SETS[units][unit]}" if unit else field.name)
        assert meaning(kind, field.name) == field.metadata["meaning"] != ""


def test_a_field_without_a_default_must_be_given():
    """A default is one only if it was named: without, the value cannot be made."""
    assert says("a meaning", default=None).default is None
    with pytest.raises(TypeError, match="title"):
        type(whole())(units="metric", currency="USD", money=whole().money)


def test_what_was_paid_goes_out_and_what_was_saved_comes_in():
    """Amounts are entered as they stand on paper; the flow gives them their sign."""
    row = {"year": 1, "amount": 5.0, "origin": "invoice"}
    assert {Actual(item=item, **row).flow for item in SAVED} == {5.0}
    assert {Actual(item=item, **row).flow for item in (*FIRST, "lease", "tax", "air")} == {-5.0}


def test_readings_are_rows_and_columns_alike():
    """Rows made into columns come back as they were; none make none."""
    laid = readings([(1, "e", 10.0, 100.0, ""), (1, "f", 2.0, 90.0, "foreign")])
    assert Readings.of(list(laid)) == laid and len(laid) == 2
    assert Readings.of([]) == Readings() and not list(Readings())


def test_a_range_is_known_when_its_ends_meet():
    """A single figure has no width; a range with width is not known; a place has the usual shift."""
    assert Range.exactly(3.0, "quote") == Range(low=3.0, likely=3.0, high=3.0, source="quote")
    assert Range.exactly(3.0).known and not Range(low=1.0, likely=3.0, high=3.0).known
    assert math.isclose(Place().hours_per_shift, 8.0)
