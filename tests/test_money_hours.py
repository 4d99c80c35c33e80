"""Line hours and molds of a year on paper: what free hours are sold for, to whom first, and where they stay unsold."""

from dataclasses import replace

import numpy as np
import pytest
from money_year import figures, with_hours
from plant import RUNS, SECONDS, VOLUME, plant
from test_money_ways import exactly, timed

from coreset.case import Line, Range
from coreset.money.simulation_inputs import draw
from coreset.money.year_plan import plan, ways

PAY = 23 * 1.42
THEN = sum(VOLUME[code] * SECONDS[code, "core setter"] for code in VOLUME) / 3600 + sum(RUNS.values()) * 0.2


def sold(free, *, castings=2, hub=4.0, box=3.0, paid=1.0, filled=True, operators=1):
    """Hours of a year in which all patterns go over and so many line hours are left; HUB wants 3,000, BOX 2,000."""
    case = exactly(plant(line=Line(shifts_per_day=1, days_per_year=100, hours_per_shift=8, saved_hours_used=filled)))
    more, margin = {"HUB": 3_000.0, "BOX": 2_000.0}, {"HUB": hub, "BOX": box}
    patterns = tuple(
        replace(
            p,
            castings_per_mold=castings,
            extra_molds_per_year=Range.exactly(more.get(p.pattern, 0.0)),
            margin_per_casting=Range.exactly(margin.get(p.pattern, 1.0)),
        )
        for p in case.patterns
    )
    methods = tuple(replace(m, operators=operators) if m.method == "manual" else m for m in case.methods)
    paid = Range.exactly(paid)
    case = replace(case, patterns=patterns, methods=methods, setter=replace(case.setter, downtime_share=0.0),
                   money=replace(case.money, hours_saved_paid=paid, overtime_limit_h_per_year=1e6))  # fmt: skip
    known = timed(SECONDS)
    facts = with_hours(plan(case, known), THEN + free)
    sample = draw(case, known, (), draws=2, seed=1)
    keys = ("molds_sold_today", "molds_sold_proposed", "molds_sold_more", "molds_on_setter", "hours_sold_today")
    more_keys = ("hours_sold_proposed", "throughput_now")
    return figures(sample, facts, ways(case, known)[0], np.ones((4, 1)), (*keys, *more_keys))


@pytest.mark.parametrize(
    ("free", "hub", "box"), [(60.0, 3_000, 2_000), (30.0, 3_000, 500), (10.0, 1_200, 0), (-5.0, 0, 0)]
)
def test_free_hours_go_to_the_best_margin_first(free, hub, box):
    """An hour of HUB brings 8 x 3600/41, of BOX 6 x 3600/62: HUB's 25 h first, then BOX's 20 h, as far as they go."""
    found = sold(free)
    assert found["molds_sold_proposed"][:, 0] == pytest.approx([hub, box, 0.0, 0.0])
    assert found["molds_on_setter"][:2, 0] == pytest.approx([VOLUME["HUB"] + hub, VOLUME["BOX"] + box])
    assert found["molds_sold_more"] == pytest.approx(np.full(2, hub + box)) and not found["hours_sold_today"].any()
    assert found["hours_sold_proposed"].sum(axis=0) == pytest.approx(np.full(2, hub * 30 / 3600 + box * 36 / 3600))
    assert found["throughput_now"] == pytest.approx(np.full(2, 8.0 * hub + 6.0 * box))
    assert not sold(free, filled=False)["molds_sold_proposed"].any()


def test_hours_free_as_today_are_sold_as_today():
    """40 h are free by hand for HUB, then BOX; the setter leaves room for all 5,000 molds: what is beyond counts."""
    today = sum(VOLUME[code] * SECONDS[code, "manual"] for code in VOLUME) / 3600
    found = sold(today - THEN + 40.0)
    assert found["molds_sold_today"][:, 0] == pytest.approx([3_000, (40 - 3_000 * 41 / 3600) * 3600 / 62, 0, 0])
    assert found["molds_sold_more"][0] == pytest.approx(5_000 - found["molds_sold_today"][:, 0].sum())


@pytest.mark.parametrize("castings", [1, 2])
@pytest.mark.parametrize("operators", [1, 2])
@pytest.mark.parametrize("paid", [1.0, 0.5])
@pytest.mark.parametrize(("share", "wanted"), [(0.99, False), (1.01, True)])
def test_a_mold_is_sold_where_it_brings_more_than_its_hours_would_save(castings, operators, paid, share, wanted):
    """HUB's 30 s by the setter cost crew and today's operators, as far as their hours are really not paid for."""
    least = 30 / 3600 * PAY * (2 + operators) * paid
    found = sold(60.0, castings=castings, hub=share * least / castings, box=100.0, paid=paid, operators=operators)
    assert found["molds_sold_proposed"][:, 0] == pytest.approx([3_000.0 * wanted, 2_000.0, 0.0, 0.0])
