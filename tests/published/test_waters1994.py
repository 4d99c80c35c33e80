"""[waters1994] Applications manual for the revised NIOSH lifting equation: printed tables and single-task examples."""

import dataclasses

import pytest
from printed import as_printed, rows

from coreset.lifting.by_hand import by_hand, rounded
from coreset.lifting.equation import (
    asymmetry_multiplier,
    coupling_multiplier,
    distance_multiplier,
    frequency_multiplier,
    horizontal_multiplier,
    vertical_multiplier,
)
from coreset.lifting.lift_end import MULTIPLIERS, Posture, lifting_index, rate
from coreset.sources import table

DIFFER = {("hm", "us", 22): 0.45, ("hm", "us", 23): 0.43, ("dm", "metric", 130): 0.85}
"""Printed cells that are not the formula rounded half up, and what the formula gives."""
PRINTED = {
    "hm": {"metric": "table1_horizontal_metric", "us": "table1_horizontal_us"},
    "vm": {"metric": "table2_vertical_metric", "us": "table2_vertical_us"},
    "dm": {"metric": "table3_travel_metric", "us": "table3_travel_us"},
}
FORMULA = {"hm": horizontal_multiplier, "vm": vertical_multiplier, "dm": distance_multiplier}
CELLS = [
    pytest.param(
        name, units, float(next(iter(row.values()))), row[name], id=f"{name}-{units}-{next(iter(row.values()))}"
    )
    for name, sets in PRINTED.items()
    for units, path in sets.items()
    for row in table(f"waters1994/{path}").rows
] + [
    pytest.param("am", "metric", float(row["asymmetry_deg"]), row["am"], id=f"am-{row['asymmetry_deg']}")
    for row in table("waters1994/table4_asymmetry").rows
]


def exact(name, units, x):
    """The formula behind a printed table."""
    return asymmetry_multiplier(x) if name == "am" else FORMULA[name](x, units=units)


def test_there_are_102_printed_cells():
    """[waters1994] Tables 1-4: 102 cells in both unit sets."""
    assert len(CELLS) == 102


@pytest.mark.rules("N-formula-first", "N-o-half", "N-units")
@pytest.mark.parametrize(("name", "units", "x", "cell"), CELLS)
def test_tables_1_to_4(name, units, x, cell):
    """[waters1994] Tables 1-4: every cell is the formula rounded half up, but the three that are named."""
    formula = float(rounded(exact(name, units, x), 2))
    if (name, units, x) in DIFFER:
        assert formula == DIFFER[name, units, x] != float(cell)
    else:
        assert formula == float(cell)
    assert by_hand(name, exact(name, units, x), x, units) == float(cell)


@pytest.mark.rules("N-formula-first", "N-table-govern", "N-v-col")
@pytest.mark.parametrize("row", rows("waters1994/table5_frequency"))
@pytest.mark.parametrize("units", ["metric", "us"])
def test_table_5(row, units):
    """[waters1994] Table 5: every printed FM, on both sides of 75 cm (30 in), itself in the high column."""
    low, high = (74.9, 75.0) if units == "metric" else (29.9, 30.0)
    for duration in ("short", "moderate", "long"):
        for end, vertical in (("low", low), ("high", high)):
            fm = frequency_multiplier(float(row.frequency_per_min), duration, vertical, units=units)
            assert fm == as_printed(getattr(row, f"{duration}_{end}"))


@pytest.mark.rules("N-c-values", "N-formula-first", "N-v-col")
@pytest.mark.parametrize("row", rows("waters1994/table7_coupling"))
def test_table_7(row):
    """[waters1994] Table 7: every printed CM; the reference height is the high column."""
    assert coupling_multiplier(row.coupling, [29.9, 30.0], units="us") == pytest.approx(
        [float(row.cm_low), float(row.cm_high)]
    )
    assert coupling_multiplier(row.coupling, [74.9, 75.0]) == pytest.approx([float(row.cm_low), float(row.cm_high)])


def posture_of(row):
    """The measured quantities of an example, in inches and pounds."""
    return Posture(
        horizontal=float(row.horizontal_in),
        vertical=float(row.vertical_in),
        travel=float(row.travel_in),
        angle_deg=float(row.asymmetry_deg),
        frequency_per_min=float(row.frequency_per_min),
        duration=row.duration,
        coupling=row.coupling,
        units="us",
    )


@pytest.mark.rules("N-formula", "N-o-round")
@pytest.mark.parametrize("row", rows("waters1994/examples_single_task"))
def test_single_task_examples_by_hand(row):
    """[waters1994] section 3, from memory: hand arithmetic gives every multiplier, RWL and LI as printed."""
    end = rate(posture_of(row), hand_arithmetic=True)
    for name in MULTIPLIERS:
        assert float(getattr(end, name)) == float(getattr(row, name)), name
    assert float(end.rwl) == float(row.rwl_lb)
    assert float(lifting_index(float(row.load_lb), end.rwl, hand_arithmetic=True)) == float(row.li)


@pytest.mark.parametrize("row", rows("waters1994/examples_single_task"))
def test_single_task_examples_exactly(row):
    """[waters1994] section 3, from memory: the exact formula is within 2.4 % of the printed RWL."""
    assert float(rate(posture_of(row)).rwl) == pytest.approx(float(row.rwl_lb), rel=0.024)


@pytest.mark.rules("N-v-cm")
@pytest.mark.parametrize("row", rows("waters1994/examples_both_ends"))
def test_examples_4_and_5_at_both_ends(row):
    """[waters1994] section 3, examples 4 and 5: FM by V at the origin, CM by V of the end, RWL, by hand arithmetic."""
    posture = dataclasses.replace(posture_of(row), vertical_at_origin=float(row.vertical_origin_in))
    end = rate(posture, hand_arithmetic=True)
    for name in MULTIPLIERS:
        printed = getattr(row, name)
        assert not printed or float(getattr(end, name)) == float(printed), name
    assert float(end.rwl) == float(row.rwl_lb)
    assert float(rate(posture).rwl) == pytest.approx(float(row.rwl_lb), rel=0.005)


@pytest.mark.unverified
def test_example_1_destination_crosses_the_index_of_3_only_when_calculated_exactly():
    """[waters1994] section 3, example 1, from memory: printed 3.0; the exact formula gives 3.1."""
    row = next(p.values[0] for p in rows("waters1994/examples_single_task") if p.values[0].end == "destination")
    assert float(rounded(lifting_index(44, rate(posture_of(row)).rwl), 1)) == 3.1
