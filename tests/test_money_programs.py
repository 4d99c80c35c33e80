"""Volumes by year: programs that start, end and grow, and patterns that go over later, each redone by hand."""

from dataclasses import replace

import numpy as np
import pytest
from plant import RUNS, SECONDS, VOLUME, parts
from test_money_ways import FULL, exactly, timed

from coreset.errors import StudyError
from coreset.money.evaluate import weigh
from coreset.store.folder.plain import build, plain

PAY, CREW, YEARS = 23 * 1.42, 2 + 1, 10
YEAR = np.arange(1, YEARS + 1)
WAGES, PRICES = 1.03**YEAR, 1.02**YEAR


def decided(**patterns):
    """The invented plant with every input known and no downtime, and other programs by pattern."""
    case, known, cycles, _, screened = parts()
    case = exactly(case)
    made = tuple(replace(p, **patterns.get(p.pattern, {})) for p in case.patterns)
    case = replace(case, patterns=made, line=FULL, setter=replace(case.setter, downtime_share=0.0))
    return weigh(case, known, cycles, timed(SECONDS), screened, draws=50)


def item(found, name):
    """One item of the years."""
    return np.array([row.parts.get(name, 0.0) for row in found.cash_flow[1:]])


def labor(code):
    """Labor that the setter saves on a pattern in each year at today's volume."""
    seconds = SECONDS[code, "manual"] - SECONDS[code, "core setter"]
    return VOLUME[code] * seconds / 3600 * CREW * PAY * WAGES


@pytest.mark.parametrize(
    ("program", "share"),
    [
        ({"ends_after_year": 4}, YEAR <= 4),
        ({"starts_in_year": 3}, YEAR >= 3),
        (
            {"starts_in_year": 2, "ends_after_year": 7, "volume_growth": 0.1},
            ((YEAR >= 2) & (YEAR <= 7)) * 1.1 ** (YEAR - 1),
        ),
        ({"volume_growth": -0.05}, 0.95 ** (YEAR - 1)),
        ({"molds_by_year": (44_000, 0, 38_000)}, np.array([44_000, 0, *[38_000] * 8]) / VOLUME["BOX"]),
        (
            {"molds_by_year": tuple(40_000 + 500 * t for t in range(12)), "starts_in_year": 2},
            (YEAR >= 2) * (39_500 + 500 * YEAR) / VOLUME["BOX"],
        ),
        ({"goes_over_in_year": 5}, YEAR >= 5),
    ],
)
def test_a_program_saves_in_its_years(program, share):
    """Labor of BOX by its molds of each year, the other patterns as they were; nothing in years without molds."""
    flat, found = decided(), decided(BOX=program)
    assert found.nearest == flat.nearest and "BOX" in flat.nearest
    assert item(found, "labour") == pytest.approx(item(flat, "labour") + labor("BOX") * (share - 1.0))


def test_masks_are_bought_in_the_year_before_the_pattern_goes_over():
    """One mask at 9,000 of today: with the setter where the first year is meant, at the prices of year 4 for year 5."""
    flat, found = decided(), decided(BOX={"goes_over_in_year": 5})
    assert found.cash_flow[0].parts["masks"] == pytest.approx(flat.cash_flow[0].parts["masks"] + 9_000)
    assert item(found, "mask_phase_in") == pytest.approx(np.where(YEAR == 4, -9_000 * PRICES, 0.0))
    never = decided(JOB={"goes_over_in_year": YEARS + 1}, BOX={"starts_in_year": YEARS + 1})
    assert not item(never, "mask_phase_in").any()


def test_hours_are_those_of_the_fullest_year():
    """A plant whose volumes double in ten years is held against its hours in the last, not on average."""
    found = decided(**dict.fromkeys(VOLUME, {"volume_growth": 0.08}))
    method = {code: "core setter" if code in found.nearest else "manual" for code in VOLUME}
    made = sum(VOLUME[code] * SECONDS[code, method[code]] for code in VOLUME) / 3600
    changes = found.base.number("mask_change_hours") + found.base.number("swing_aside_hours")
    assert 0 < changes < 0.2 * sum(RUNS.values())
    assert found.line_hours == pytest.approx(made * 1.08**9 + changes)


def test_a_pattern_by_itself_is_shown_at_todays_volume():
    """What going over saves a year and from which run on is of a full year, whenever it goes over."""
    flat, found = decided(), decided(BOX={"goes_over_in_year": 5, "ends_after_year": 8})
    rows = [{row.pattern: row for row in d.patterns}["BOX"] for d in (flat, found)]
    assert rows[0].saving_per_year == rows[1].saving_per_year > 0
    assert rows[0].break_even_run_molds == rows[1].break_even_run_molds


@pytest.mark.parametrize(
    ("program", "column"),
    [
        ({"starts_in_year": 4, "ends_after_year": 3}, "ends_after_year"),
        ({"starts_in_year": 4, "goes_over_in_year": 2}, "goes_over_in_year"),
        ({"ends_after_year": 4, "goes_over_in_year": 5}, "goes_over_in_year"),
        ({"molds_by_year": [9_000], "volume_growth": 0.1}, "volume_growth"),
        ({"molds_by_year": [9_000, -1]}, "molds_by_year"),
    ],
)
def test_years_out_of_order_are_a_fault(program, column):
    """A program does not end before it starts; a pattern goes over while it is made; volumes are given once."""
    written = plain(exactly(parts()[0]))
    written["patterns"][0] |= program
    with pytest.raises(StudyError) as error:
        build(written)
    assert [fault.column for fault in error.value.faults] == [column]
