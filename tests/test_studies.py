"""The invented cases: labelled so, made by their scripts to the last byte, and of the variety that the work has."""

import shutil
from importlib.resources import files
from pathlib import Path

import pytest

from coreset.store import folder
from coreset.studies import make_demo, make_us_demo

ROOT = Path(str(files("coreset.studies")))
MAKERS = {"ostrander_bend": make_demo, "tamarack_flat": make_us_demo}


@pytest.mark.parametrize("name", MAKERS)
def test_the_script_makes_the_files(name, tmp_path):
    """The fixed seed gives the files that lie here, byte by byte, and they read as the case that it made."""
    target = Path(shutil.copytree(ROOT / name, tmp_path / name))
    case = MAKERS[name].demo()
    folder.write(case, target)
    for path in sorted(one for one in (ROOT / name).rglob("*") if one.is_file()):
        assert (target / path.relative_to(ROOT / name)).read_bytes() == path.read_bytes(), path.name
    assert folder.read(target) == case


@pytest.mark.parametrize("name", MAKERS)
def test_it_is_labelled_as_invented(name):
    """In the case and in the folder."""
    assert folder.read(ROOT / name).invented
    assert "invented" in (ROOT / name / "README.md").read_text(encoding="utf-8")


def test_the_demo_has_what_a_floor_has():
    """Five patterns unlike one another; 40 cycles or more under both methods; the marks and kinds of real studies."""
    case = folder.read(ROOT / "ostrander_bend")
    timed = {(study.pattern, study.method) for study in case.studies if len(set(study.readings.cycle)) >= 40}
    both = [one.pattern for one in case.patterns if {(one.pattern, "manual"), (one.pattern, "core setter")} <= timed]
    assert len(case.patterns) >= 5
    assert len(both) >= 4
    assert {study.timing for study in case.studies} == {"continuous", "snapback"}
    marks = {mark for study in case.studies for mark in study.readings.mark}
    assert {"", "foreign", "missed"} <= marks
    assert any(element.occasional for study in case.studies for element in study.elements)
    assert any(rating == rating for study in case.studies for rating in study.readings.rating)
    assert any(lift.hands == 1 for lift in case.lifts)
    assert any(lift.horizontal_destination > 63 for lift in case.lifts)
    assert {(lift.pattern, lift.method) for lift in case.lifts} >= timed


def test_the_second_case_is_in_pounds_and_inches():
    """Its columns say so."""
    assert "mass_lb" in (ROOT / "tamarack_flat" / "cores.csv").read_text(encoding="utf-8").splitlines()[0]
    assert folder.read(ROOT / "tamarack_flat").units == "us"
