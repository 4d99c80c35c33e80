"""Ways of lifts, rows of force, contingency, machines tended and what a header lacks: small cases by hand."""

import math
from dataclasses import replace

import pytest
from study_cases import case, study

from coreset.case import Allowances, Core, Lift
from coreset.sources import table
from coreset.study.allowances import allowed, force_row
from coreset.study.drivers import drivers, moved
from coreset.study.header import lacking
from coreset.study.machines import busy, cheapest, tended


def test_the_way_of_hands_by_pythagoras():
    """Straight ahead from 30 to 40 cm and 24 cm higher: 26 cm; half a turn: 70 cm; in feet by 12; what is carried."""
    one = Lift(task="t", method="manual", pattern="P1", core="A", horizontal_origin=30.0, horizontal_destination=40.0,
               vertical_origin=70.0, vertical_destination=94.0, asymmetry_origin_deg=30.0,
               asymmetry_destination_deg=30.0, lifts_per_mold=3.0)  # fmt: skip
    assert moved(one, "metric") == pytest.approx(0.26)
    assert moved(replace(one, carry=2.0), "metric") == pytest.approx(2.26)
    level = replace(one, vertical_destination=70.0, asymmetry_origin_deg=-60.0, asymmetry_destination_deg=120.0)
    assert moved(level, "metric") == pytest.approx(0.70) and moved(level, "us") == pytest.approx(70 / 12)
    still = replace(one, horizontal_destination=30.0, vertical_destination=70.0)
    assert moved(still, "metric") == pytest.approx(0.0, abs=1e-9)
    other = case([], lifts=(one, replace(level, task="u")), cores=(Core(pattern="P1", core="A", mass=4.0, per_mold=2),))
    assert drivers(other, "P1", "manual")["distance"] == pytest.approx(3 * 0.26 + 3 * 0.70)
    assert math.isnan(drivers(other, "P1", "setter")["distance"])
    assert drivers(other, "P2", "manual") | {"distance": 0} == {"cores": 0, "mass": 0, "heaviest": 0, "distance": 0}


@pytest.mark.parametrize(("key", "column", "units"), [("ilo1957", "mass_lb", "us"), ("ilo1979", "mass_kg", "metric")])
def test_rows_of_force_end_at_their_masses(key, column, units):
    """[ilo1957], [ilo1979] each mass printed has its row, a little more the next; beyond the last it is kept."""
    rows = [row for row in table(f"{key}/allowances").rows if row["cause"] == "use of force"]
    for row, following in zip(rows, [*rows[1:], rows[-1]], strict=True):
        line, beyond = force_row(float(row[column]), units=units, table_key=key)
        assert (line.condition, line.percent, beyond) == (row["condition"], float(row["percent"]), False)
        line, beyond = force_row(float(row[column]) + 0.01, units=units, table_key=key)
        assert (line.condition, beyond) == (following["condition"], row is rows[-1])


@pytest.mark.parametrize(("contingency", "told"), [(0.0, False), (5.0, False), (5.1, True)])
def test_a_contingency_beyond_the_usual_is_told(contingency, told):
    """Up to 5 % is usual; none is no line."""
    found = allowed(case([]), Allowances(name="own", basis="normal", contingency_pct=contingency))
    assert ("contingency_large" in found.notes) == told and found.percent == contingency
    assert len(found.lines) == (1 if contingency else 0)


def test_machines_tended_by_hand():
    """1 min together, 2 alone, 0.5 away: 3 machines take 4.5 min a cycle, 2 are cheaper at 10 a worker and 20 each."""
    facts = {"load": 1.0, "machine": 2.0, "away": 0.5}
    rates = {"worker_rate": 10.0, "machine_rate": 20.0}
    three = tended(3, **facts, **rates)
    assert (three.cycle, three.cost) == (4.5, pytest.approx(4.5 * 70 / 3))
    assert cheapest(**facts, **rates) == tended(2, **facts, **rates) and tended(1, **facts, **rates).cost == 90.0
    assert busy(3, **facts) == pytest.approx((1.0, 3 / 4.5)) and busy(1, **facts) == pytest.approx((0.5, 1.0))
    slow = {"load": 1.0, "machine": 0.2, "away": 0.8}
    assert cheapest(**slow, worker_rate=0.0, machine_rate=1.0).machines == 1
    assert cheapest(**slow, worker_rate=9.0, machine_rate=0.1).machines == 1


def test_the_watch_is_asked_for_where_one_was_used():
    """Times off a watch ask for its check; times off a video do not."""
    s = study([(1, "a", 5.0)], "a")
    assert "watch" in lacking(replace(s, taken_with="watch", watch=""))
    assert "watch" not in lacking(replace(s, taken_with="watch", watch="W7, checked"))
    assert "watch" not in lacking(replace(s, taken_with="video", watch=""))
    assert "shift" in lacking(s) and "shift" not in lacking(replace(s, shift="early"))
