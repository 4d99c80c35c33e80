"""What a case says of the year and of its ways, by hand."""

from dataclasses import replace

import pytest
from plant import SECONDS, money, plant
from test_money_ways import timed

from coreset.case import Line, Method, Range
from coreset.money.year_plan import plan, ways

TWO_SHIFTS = Line(shifts_per_day=2, days_per_year=200, hours_per_shift=8, saved_hours_used=True)


def test_hours_air_and_pay_of_a_year_by_hand():
    """Two shifts of 8 h on 200 days less 700 h of other work; 90 l a cycle; half the hours at 10 % more."""
    case = plant(line=TWO_SHIFTS, money=money(other_line_hours_per_year=700.0, shift_premium=0.10))
    found = plan(case, timed(SECONDS))
    assert found.hours_available == 2 * 8 * 200 - 700
    assert found.stated["air_l_per_cycle"] == 90 and found.figure("shift_factor") == pytest.approx(1.05)
    full = plan(replace(case, money=money(other_line_hours_per_year=4_000.0)), timed(SECONDS))
    assert full.hours_available == 0.0


def test_free_hours_go_first_to_what_an_hour_brings_most_by():
    """Margins an hour as today, two castings a mold but one of CAP: CAP 300, HUB 351, JOB 600, BOX 465 an hour."""
    case, margins = plant(line=TWO_SHIFTS), {"HUB": 2.0, "BOX": 4.0, "CAP": 2.0, "JOB": 4.0}
    patterns = tuple(
        replace(
            p,
            margin_per_casting=Range.exactly(margins[p.pattern]),
            castings_per_mold=1 if p.pattern == "CAP" else 2,
        )
        for p in case.patterns
    )
    found = plan(replace(case, patterns=patterns), timed(SECONDS))
    assert [found.patterns[i] for i in found.order] == ["JOB", "BOX", "HUB", "CAP"]


def test_ways_of_a_case():
    """The candidate with its operators; leased and used where offered; every other method with its own people."""
    case = plant()
    crews = {"manual": 2, "core setter": 3, "hand and rack": 4}
    methods = tuple(replace(m, operators=crews[m.method]) for m in case.methods)
    case = replace(case, methods=(*methods, Method(method="free", operators=1, steps=())))
    assert plan(case, timed(SECONDS)).operators == 2
    found = ways(case, timed(SECONDS))
    assert [way.name for way in found] == ["core setter", "hand and rack", "free"]
    assert [way.operators for way in found] == [3, 4, 1] and [way.step_cost for way in found] == [0.0, 4_000, 0.0]
    offered = replace(case, money=money(lease_per_year=0.5, second_hand_price=0.5))
    assert [way.name for way in ways(offered, ())] == ["core setter", "leased", "second-hand", "hand and rack", "free"]
    unnamed = replace(case, methods=())
    assert plan(unnamed, timed(SECONDS)).operators == 1
    assert (ways(unnamed, ())[0].operators, ways(unnamed, ())[0].step_cost) == (1, 0.0)
