"""Single readings of an element as they are judged: outliers flagged, excluded ones still shown, their chart."""

from dataclasses import replace

from coreset.case import Correction, Element, Reading, Readings, Study
from coreset.study.charts.series import judging
from coreset.study.judging import first_to_judge, judged

NAN = float("nan")
SET = (11.0, 11.4, 10.8, 11.1, 60.0, 11.2, 10.9, 11.3)
"""Seconds of one element; the fifth is five times the others."""


def study(*corrections):
    """A snapback study of two elements; the second is steady."""
    rows = [
        Reading(2 * cycle + place, cycle, name, seconds, NAN, "", "")
        for cycle, set_s in enumerate(SET, start=1)
        for place, (name, seconds) in enumerate((("close", 5.0), ("set", set_s)))
    ]
    own = {"method": "manual", "pattern": "P1", "observer": "OB1", "operator": "OP1", "timing": "snapback"}
    elements = (Element(name="close"), Element(name="set"))
    return Study(study="S1", elements=elements, readings=Readings.of(rows), corrections=corrections, **own)


def test_the_outlier_is_flagged_and_stays_among_the_readings_when_excluded():
    """Times by seq; the element with an outlier is judged first; what is excluded is shown and no longer flagged."""
    found = judged(study(), "set")
    assert tuple(one.seconds for one in found) == SET
    assert [(one.seq, one.cycle) for one in found if one.state == "outlier"] == [(11, 5)]
    assert first_to_judge(study()) == "set"
    aside = Correction(seq=11, action="exclude", who="OB1", when="2026-11-29", why="core dropped")
    again = judged(study(aside), "set")
    assert [one.state for one in again] == ["used"] * 4 + ["excluded"] + ["used"] * 3
    assert replace(found[4], state="excluded") == again[4]
    assert first_to_judge(study(aside)) == "close"


def test_one_reading_can_be_picked_in_the_chart_by_its_number():
    """One point a reading, told apart by shape and color; the choice carries the reading's number."""
    spec = judging("set", judged(study(), "set")).to_dict()
    assert [row["seq"] for row in spec["data"]["values"]] == [one.seq for one in judged(study(), "set")]
    assert [(p["name"], p["select"]["fields"]) for p in spec["params"]] == [("picked", ["seq"])]
    assert spec["encoding"]["shape"]["field"] == spec["encoding"]["color"]["field"] == "state"
