"""A list as a grid: what it shows is the list, 200 pasted rows are taken, faults name row and column of the grid."""

from dataclasses import replace

import pytest

from coreset.case import Range
from coreset.errors import StudyError
from coreset.forms.grid import GRIDS, MARK, cells_at_fault, from_grid, grid_columns, grid_frame, grid_rows
from coreset.store.folder import read
from coreset.web.shelf import demo_folder


@pytest.fixture(scope="module")
def case():
    """The demo."""
    return read(demo_folder())


@pytest.mark.parametrize("place", GRIDS)
def test_an_untouched_grid_gives_the_same_case(case, place):
    """Each list, ranges with their ends and sources; every column has a label, the required ones are in use."""
    assert from_grid(case, case, place, grid_rows(case, place)) == case
    columns = grid_columns(case, place)
    assert len({one.label for one in columns}) == len(columns) and all(one.in_use for one in columns if one.required)


def test_two_hundred_rows_from_a_spreadsheet_are_taken(case):
    """As a paste gives them: texts, blank cells None, an empty row between, a decimal comma in a column of numbers."""
    first = grid_rows(case, "patterns")[0]
    bare = dict.fromkeys(first)
    rows = [bare | {"pattern": f"P{i}", "molds_per_year": f"{1000 + i},5", "runs_per_year": " 12 "} for i in range(200)]
    found = from_grid(case, case, "patterns", [*grid_rows(case, "patterns"), bare, *rows]).patterns
    assert len(found) == len(case.patterns) + 200
    assert found[-1].molds_per_year == Range.exactly(1199.5) and found[-1].runs_per_year == 12.0
    assert found[: len(case.patterns)] == case.patterns


def test_faults_name_the_row_and_the_column_of_the_grid(case):
    """A word for a number, a lift of an unknown pattern, a core named twice: each where the grid shows it."""
    lifts = grid_rows(case, "lifts")
    blank = dict.fromkeys(lifts[0], "")
    lifts[2] |= {"pattern": "NONE"}
    lifts.insert(1, blank)
    lifts[5] |= {"vertical_origin_cm": "knee"}
    with pytest.raises(StudyError) as told:
        from_grid(case, case, "lifts", lifts)
    assert {(fault.row, fault.column) for fault in told.value.faults} == {(4, "pattern"), (6, "vertical_origin_cm")}
    assert any(fault.found.strip("'") == "knee" for fault in told.value.faults)
    cores = grid_rows(case, "cores")
    with pytest.raises(StudyError) as told:
        from_grid(case, case, "cores", [*cores, cores[0]])
    assert told.value.faults[0].row == len(cores) + 1


NO_ENDS = {"molds_per_year_low": "", "molds_per_year_high": ""}
ONE_SLIP = {
    "a word": {"molds_per_year": "many"},
    "below the limit": {"molds_per_year": "-5"},
    "a size that no plant has": {"molds_per_year": "1e15"},
    "no number to a source": {"molds_per_year": "", "molds_per_year_source": "offer"},
}


@pytest.mark.parametrize("typed", ONE_SLIP.values(), ids=ONE_SLIP)
def test_one_slip_is_one_fault(case, typed):
    """A figure without ends of its own is told once, not for value, low and high; an end that was typed is told too."""
    rows = grid_rows(case, "patterns")
    rows[1] |= NO_ENDS | typed
    with pytest.raises(StudyError) as told:
        from_grid(case, case, "patterns", rows)
    assert [(fault.row, fault.column) for fault in told.value.faults] == [(2, "molds_per_year")]
    rows[1] |= {"molds_per_year_low": "few"}
    with pytest.raises(StudyError) as told:
        from_grid(case, case, "patterns", rows)
    assert (2, "molds_per_year_low") in {(one.row, one.column) for one in told.value.faults}


def test_a_fault_stands_in_its_cell_and_leaves_it_with_the_fault(case):
    """The cell shows the mark before what was typed, also where a value is missing; saved, no mark is kept."""
    rows = grid_rows(case, "patterns")
    rows[1] |= {"molds_per_year": "many"}
    rows[2] |= {"pattern": ""}
    with pytest.raises(StudyError) as told:
        from_grid(case, case, "patterns", rows)
    assert cells_at_fault(told.value, rows[0]) == ((2, "molds_per_year"), (3, "pattern"))
    table = grid_frame(rows, told.value)
    assert table.loc[2, "molds_per_year"] == f"{MARK}many" and table.loc[3, "pattern"] == MARK
    assert sum(MARK.strip() in str(cell) for cell in table.to_numpy().ravel()) == 2
    mended = table.to_dict("records")
    mended[1] |= {"molds_per_year": f"{MARK}31000", "molds_per_year_low": "", "molds_per_year_high": ""}
    mended[2] |= {"pattern": f"{MARK}{case.patterns[2].pattern}"}
    found = from_grid(case, case, "patterns", mended).patterns
    assert found[1].molds_per_year.likely == 31_000.0 and found[2] == case.patterns[2]


def test_a_list_that_somebody_else_changed_is_not_overwritten(case):
    """The grid shows an older list: nothing of it is taken."""
    now = replace(case, patterns=case.patterns[:1] + case.patterns[2:], cores=(), lifts=(), studies=())
    with pytest.raises(StudyError, match="somebody else changed it"):
        from_grid(case, now, "patterns", grid_rows(case, "patterns"))
