"""Conditions of the work place: their units are the case's own, shown at the field; unlikely figures are questioned."""

import dataclasses

import pytest
from book_cases import case as small_case
from handling_cases import case, lift, standard

from coreset.bodywork.workload import heat_of, workload
from coreset.case import PLANT_CHANGES, Case, Place
from coreset.errors import StudyError
from coreset.forms.editing import changed
from coreset.forms.fields import fields
from coreset.lifting.lever_ranges import LEVERS
from coreset.lifting.scope import outside_conditions
from coreset.lifting.screen import screen
from coreset.store import folder
from coreset.store.book.plain import built, plain
from coreset.store.folder.reader import read
from coreset.text import catalogue

US = {"temperature": 86.0, "wet_bulb": 77.0, "globe": 95.0}
METRIC = {"temperature": 30.0, "wet_bulb": 25.0, "globe": 35.0}
"""The same three by 1.8 C + 32."""


def started(path, units, place):
    """A folder of a case that is whole, with these lines about the place."""
    folder.start(path, units=units, currency="EUR")
    file = path / "case.toml"
    text = file.read_text(encoding="utf-8")
    text = text.replace("[money]", "[money]\nsetter_price = 1\nwage_per_h = 1\ndiscount_rate = 0.1", 1)
    assert text.count("[place]") == 1
    file.write_text(text.replace("[place]", f"[place]\n{place}", 1), encoding="utf-8")
    return path


def refused(act):
    """What was expected, by column."""
    with pytest.raises(StudyError) as caught:
        act()
    return {fault.column.removeprefix("place."): fault.expected for fault in caught.value.faults}


@pytest.mark.parametrize(
    ("units", "suffix", "place"), [("metric", "c", METRIC | {"wbgt": 27.5}), ("us", "f", US | {"wbgt": 81.5})]
)
def test_temperatures_of_a_file_are_in_the_units_of_the_case(tmp_path, units, suffix, place):
    """Read and written under the name with the unit; the other one is refused with the right name."""
    lines = "\n".join(f"{name}_{suffix} = {value}" for name, value in place.items())
    found = read(started(tmp_path / "case", units, lines))
    assert {name: getattr(found.place, name) for name in place} == place
    folder.write(found, tmp_path / "again")
    assert read(tmp_path / "again") == found
    other = started(tmp_path / "other", units, f"wet_bulb_{'cf'[suffix == 'c']} = 35")
    (expected,) = refused(lambda: read(other)).values()
    assert f"wet_bulb_{suffix}" in expected


def test_the_same_heat_in_either_unit_gives_the_same_result():
    """86, 77 and 95 F are 30, 25 and 35 C: WBGT 0.7 x 25 + 0.3 x 35 = 28 [iso7243_1989], and above 26 C both."""
    metric = case(lift(), place=Place(**METRIC))
    us = dataclasses.replace(case(lift(), place=Place(**US)), units="us")
    for one in (metric, us):
        heat = workload(one, pattern="P1", method="manual", standard_s=60.0).heat
        assert heat.wbgt_c == pytest.approx(28.0)
        assert "hot" in str(screen(one, [standard(60.0)])[0])
    for units, warm in (("metric", 26.0), ("us", 79.0)):
        for value, hot in ((warm, False), (warm + 1e-6, True)):
            one = dataclasses.replace(case(lift(), place=Place(temperature=value)), units=units)
            assert ("'hot'" in str(screen(one, [standard(60.0)])[0])) == hot


def test_the_range_of_the_equation_is_as_printed_in_either_scale():
    """[waters1994] section 1.2, reprinted: 19 to 26 C (66 to 79 F), whole degrees, both ends within."""
    for units, low, high in (("metric", 19.0, 26.0), ("us", 66.0, 79.0)):
        at = {value: outside_conditions(lift(), Place(temperature=value), units=units) for value in (low, high)}
        assert at == {low: (), high: ()}
        assert outside_conditions(lift(), Place(temperature=low - 0.1), units=units) == ("cold",)
        assert outside_conditions(lift(), Place(temperature=high + 0.1), units=units) == ("hot",)
    said = [text for text in catalogue().values() if "26 °C" in text]
    assert len(said) > 3 and all("79 °F" in text for text in said)


UNLIKELY = [
    ("metric", "temperature", 95.0, "-40 to 60 °C; is it the other scale, Fahrenheit or Celsius?"),
    ("metric", "wet_bulb", 95.0, "0 to 40 °C; is it the other scale, Fahrenheit or Celsius?"),
    ("metric", "globe", 95.0, "0 to 80 °C; is it the other scale, Fahrenheit or Celsius?"),
    ("us", "wet_bulb", 25.0, "32 to 104 °F; is it the other scale, Fahrenheit or Celsius?"),
    ("us", "globe", 31.0, "32 to 176 °F; is it the other scale, Fahrenheit or Celsius?"),
    ("us", "temperature", 150.0, "-40 to 140 °F; is it the other scale, Fahrenheit or Celsius?"),
    ("metric", "humidity_pct", 0.45, "1 to 100 %; is it a share instead of per cent?"),
    ("metric", "humidity_pct", 140.0, "a number not above 100"),
    ("metric", "body_mass", 154.0, "35 to 150 kg; is it the other unit, kilograms or pounds?"),
    ("us", "body_mass", 70.0, "77 to 331 lb; is it the other unit, kilograms or pounds?"),
    ("metric", "hours_per_shift", 480.0, "0 to 24; is it minutes?"),
]


@pytest.mark.parametrize(("units", "name", "value", "expected"), UNLIKELY)
def test_an_unlikely_figure_is_questioned_in_files_and_in_forms(tmp_path, units, name, value, expected):
    """Refused with the limits in the unit of the case and what was likely typed."""
    column = next(one.column for one in fields(Place, units, {}) if one.name == name)
    path = started(tmp_path / "case", units, f"{column} = {value}")
    assert refused(lambda: read(path)) == {column: expected}
    whole = read(started(tmp_path / "whole", units, ""))
    assert refused(lambda: changed(whole, "place", {name: value})) == {column: expected}


def test_clothing_and_changes_that_have_no_such_name_are_refused(tmp_path):
    """In files and in forms, before a page would stop at them: the nearest name, or all of them, is expected."""
    lines = 'clothing = "cloth coverall"\nsteps_allowed = ["rack_near", "rack_hight"]'
    said = refused(lambda: read(started(tmp_path / "wrong", "metric", lines)))
    assert "cloth coveralls" in said["clothing"] and "rack_height" in said["steps_allowed"]
    whole = read(started(tmp_path / "whole", "metric", ""))
    assert set(refused(lambda: changed(whole, "place", {"clothing": "tuxedo"}))) == {"clothing"}
    assert set(LEVERS) < set(PLANT_CHANGES)


def test_the_limits_themselves_are_taken(tmp_path):
    """On both ends of every range, in both unit sets, nothing is asked."""
    for units, pairs in (("metric", ((0, 0), (40, 80))), ("us", ((32, 32), (104, 176)))):
        whole = read(started(tmp_path / units, units, ""))
        for wet_bulb, globe in pairs:
            typed = {"wet_bulb": float(wet_bulb), "globe": float(globe)}
            found = changed(whole, "place", typed)
            assert (found.place.wet_bulb, found.place.globe) == (wet_bulb, globe)


@pytest.mark.parametrize(("units", "unit"), [("metric", "°C"), ("us", "°F")])
def test_fields_of_a_form_show_their_unit(units, unit):
    """Temperatures and body mass in the unit of the case; per cent as its name has it."""
    labels = {one.name: one.label for one in fields(Place, units, {})}
    assert labels["body_mass"].endswith({"metric": ", kg", "us": ", lb"}[units])
    assert all(labels[name].endswith(f", {unit}") for name in METRIC)
    assert labels["humidity_pct"].endswith(", %")


@pytest.mark.parametrize(("units", "expected"), [("metric", METRIC), ("us", US)])
def test_what_an_earlier_version_kept_is_taken_into_the_units_of_the_case(units, expected):
    """Degrees Celsius under the old names, in a case of either unit set; nothing else changes."""
    whole: Case = dataclasses.replace(small_case(), units=units)
    document = {name: value for name, value in plain(whole).items() if name not in {"form", "stored_form"}}
    kept = {name: value for name, value in document["place"].items() if name not in METRIC}
    old = document | {"place": kept | {f"{name}_c": value for name, value in METRIC.items()}}
    found = built(old, case_id="old")
    assert {name: getattr(found.place, name) for name in METRIC} == pytest.approx(expected)
    mass = built(document | {"place": document["place"] | {"body_mass_kg": 84.0}}, case_id="old").place.body_mass
    assert mass == pytest.approx({"metric": 84.0, "us": 84.0 / 0.45359237}[units])
    empty = document | {"place": kept | {f"{name}_c": None for name in METRIC}}
    assert built(empty, case_id="old").place == whole.place


def test_wbgt_may_be_typed_and_the_larger_of_two_counts():
    """By itself it gives the heat; beside wet bulb 25 and globe 35 C, which give 28 [iso7243_1989], the larger."""
    for place, expected in (
        (Place(wbgt=30.0), 30.0),
        (Place(wbgt=27.0, wet_bulb=25.0, globe=35.0), 28.0),
        (Place(wbgt=29.0, wet_bulb=25.0, globe=35.0), 29.0),
    ):
        assert heat_of(place, 300.0, units="metric").wbgt_c == pytest.approx(expected)
    assert heat_of(Place(wbgt=86.0), 300.0, units="us").wbgt_c == pytest.approx(30.0)
    assert heat_of(Place(globe=35.0), 300.0, units="metric") is None


def test_a_place_beyond_the_range_of_the_equation_makes_the_index_a_lower_limit():
    """[waters1994] section 1.2, p. 6: 19 to 26 C and 35 to 50 %. WBGT or wet bulb above 26 C is hotter too."""
    for place, code in (
        (Place(wbgt=26.1), "hot"),
        (Place(wet_bulb=26.1, temperature=25.0), "hot"),
        (Place(wbgt=79.1), "hot"),
        (Place(humidity_pct=50.1), "humid"),
    ):
        units = "us" if place.wbgt == 79.1 else "metric"
        assert outside_conditions(lift(), place, units=units) == (code,)
    mild = Place(wbgt=26.0, wet_bulb=22.0, temperature=26.0, humidity_pct=50.0)
    assert outside_conditions(lift(), mild, units="metric") == ()
