"""Every item of one year as a sum on paper, and what does not vary with the way of calculation it."""

from dataclasses import replace

import numpy as np
import pytest
from money_year import ITEMS, year
from plant import RUNS, SECONDS, VOLUME, plant
from test_money_runs import PAY
from test_money_ways import FULL, exactly, timed
from test_money_weigh import by_hand_after_masked

from coreset.case import Range
from coreset.money.simulation_inputs import draw
from coreset.money.year_plan import plan, ways

OVER = ("HUB", "BOX")
STATED = {"shift_premium": 0.1, "overtime_limit_h_per_year": 1e6}
TODAY = sum(VOLUME[code] * SECONDS[code, "manual"] for code in VOLUME) / 3600
BY_WAY = sum(VOLUME[code] * SECONDS[code, "core setter"] for code in OVER) / 3600
THEN = BY_WAY + sum(VOLUME[code] * SECONDS[code, "manual"] for code in VOLUME if code not in OVER) / 3600
CHANGING, ASIDE = (RUNS["HUB"] + RUNS["BOX"]) * 0.2, by_hand_after_masked(OVER) * 0.2


def one_year(over=OVER, *, operators=(1, 1), name="core setter", line=FULL, down=0.0, draws=3, **money):
    """A year in which these patterns go over, three shifts with 10 % more for the later two."""
    case = exactly(plant(line=line))
    crews = dict(zip(("manual", "core setter"), operators, strict=True))
    methods = tuple(replace(m, operators=crews.get(m.method, m.operators)) for m in case.methods)
    case = replace(case, methods=methods, setter=replace(case.setter, downtime_share=down),
                   money=replace(case.money, **{**STATED, **money}))  # fmt: skip
    known = timed(SECONDS)
    sample, facts = draw(case, known, (), draws=draws, seed=1), plan(case, known)
    sample = sample.changed({f"exposure.{code}.{name}": 0.25 for code in facts.patterns})
    way = {way.name: way for way in ways(case, known)}[name]
    chosen = np.array([[float(code in over)] for code in facts.patterns])
    return year(sample, facts, way, chosen), sample, facts


def of(found):
    """Items that are not nothing, of one of the draws, which are all alike."""
    for values in found.items.values():
        assert values.shape == (3,) and np.ptp(values) == 0.0
    return {name: values[0] for name, values in found.items.items() if values[0]}


@pytest.mark.parametrize("operators", [(1, 1), (1, 2), (2, 1), (1, 4)])
@pytest.mark.parametrize("paid", [1.0, 0.4])
def test_people_of_a_year(operators, paid):
    """Crew and operators by the hours each way; a saving counts in part, a loss in full; changes by who waits."""
    found, sample, facts = one_year(operators=operators, hours_saved_paid=Range.exactly(paid))
    crew, by_setter = 2 + operators[0], 2 + operators[1]
    saved = crew * TODAY - crew * (THEN - BY_WAY) - by_setter * BY_WAY
    assert (saved < 0) is (operators[1] == 4)
    items = of(found)
    assert items["labour"] == pytest.approx(PAY * saved * (1.0 if saved < 0 else paid))
    assert items["mask_changes"] == pytest.approx(-PAY * (by_setter * CHANGING + crew * ASIDE))
    assert found.labour_per_hour == pytest.approx(np.full(3, PAY * by_setter))
    assert found.pay == pytest.approx(np.full(3, PAY))
    assert "overtime" not in items


@pytest.mark.parametrize("operators", [(1, 1), (1, 2), (2, 1)])
@pytest.mark.parametrize("days", [50, 53, 60, 95])
def test_overtime_of_a_year(operators, days):
    """Hours beyond the schedule either way at 40 % of the bare wage, paid to the larger crew under the way."""
    found, _, facts = one_year(operators=operators, line=replace(FULL, days_per_year=days), overtime_premium=0.4)
    schedule = days * 24
    assert facts.hours_available == schedule
    before, after = (max(0.0, hours - schedule) for hours in (TODAY, THEN + CHANGING + ASIDE))
    assert (after > 0) is (days < 60) and (before > 0) is (days < 95)
    crews = 2 + operators[0], 2 + max(operators)
    wanted = 0.4 * 23 * (crews[0] * before - crews[1] * after)
    assert of(found).get("overtime", 0.0) == pytest.approx(wanted)


def test_upkeep_of_a_year():
    """Maintenance and floor once, repair of two masks for each of two patterns, air and power by use; no lease.

    Injury cost for two of four patterns that are equally exposed.
    """
    found, *_ = one_year(spare_masks=1, injury_cost_per_year=Range.exactly(900.0))
    items = of(found)
    molds = VOLUME["HUB"] + VOLUME["BOX"]
    wanted = {
        "maintenance": -7_000.0,
        "floor_space": -800.0,
        "injury": 900.0 * 2 / 4,
        "mask_repair": -2 * 2 * 600.0,
        "air": -molds * 0.09 * 0.02,
        "electricity": -BY_WAY * 4 * 0.08,
    }
    assert {name: items[name] for name in wanted} == pytest.approx(wanted)
    assert set(items) == {"labour", "mask_changes", *wanted} and set(found.items) == set(ITEMS)
    leased, *_ = one_year(name="leased", lease_per_year=31_000.0)
    assert of(leased)["lease"] == -31_000.0
    rack, *_ = one_year(("HUB",), name="hand and rack")
    assert of(rack) == {}, "as fast as today, nothing to keep up, nobody more"


def test_a_saving_of_minutes_counts_in_part_too():
    """A ten-thousandth of the molds: minutes saved, of which 40 % are not paid for, in proportion to the molds."""
    found, sample, facts = one_year(hours_saved_paid=Range.exactly(0.4))
    few = sample.changed({f"molds_per_year.{code}": VOLUME[code] * 1e-4 for code in VOLUME})
    way = next(way for way in ways(exactly(plant(line=FULL)), timed(SECONDS)))
    less = year(few, facts, way, np.array([[1.0], [1.0], [0.0], [0.0]]))
    assert less.items["labour"] == pytest.approx(found.items["labour"] * 1e-4) and less.items["labour"][0] > 0


def test_hours_and_molds_of_a_year():
    """Saved: today's less those under the way, less changes; molds by the setter of each pattern; none sold."""
    found, *_ = one_year()
    assert found.hours_saved == pytest.approx(np.full(3, TODAY - THEN - CHANGING - ASIDE))
    assert found.way_hours == pytest.approx(np.full(3, BY_WAY + CHANGING))
    assert found.molds[:, 0].tolist() == [VOLUME["HUB"], VOLUME["BOX"], 0.0, 0.0]
    assert not found.molds_sold.any()


def test_a_setter_that_stands_sets_as_by_hand():
    """Down for a tenth of its hours: a tenth of its molds at today's seconds, in hours by the way as well."""
    found, *_ = one_year(("HUB",), down=0.1)
    seconds = 0.9 * 30 + 0.1 * 41
    assert found.way_hours == pytest.approx(np.full(3, VOLUME["HUB"] * seconds / 3600 + RUNS["HUB"] * 0.2))


def test_nobody_over_and_nothing_moves():
    """No pattern: every item, hour and mold is nothing, a lease and an injury cost included."""
    found, *_ = one_year((), name="leased", lease_per_year=31_000.0, injury_cost_per_year=Range.exactly(900.0))
    assert of(found) == {}
    assert not any(each.any() for each in (found.hours_saved, found.molds_sold, found.way_hours, found.molds))
