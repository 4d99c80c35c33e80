"""Figures that a formula gave and nobody printed: they hold the product where it is, and prove no publication."""

from pathlib import Path

import numpy as np
import pytest
from printed import rows

from coreset.bodywork.heat import work_minutes_per_h
from coreset.lifting.composite import composite_index
from coreset.money.set_selection import by_program
from coreset.sources import STATUSES, table, tables


@pytest.mark.parametrize("row", rows("niosh2016/rest_share", computed=True))
def test_minutes_of_work_in_an_hour(row):
    """[niosh2016] REL and RAL at the means of the hour, to a tenth of a minute."""
    found = work_minutes_per_h(
        float(row.work_c),
        work_w=float(row.work_w),
        rest_w=float(row.rest_w),
        rest_wbgt_c=float(row.rest_c),
        acclimatized=row.acclimatized == "yes",
    )
    assert found == pytest.approx(float(row.work_min), abs=0.1)


@pytest.mark.parametrize("row", rows("waters1994/composite_order", computed=True))
def test_composite_where_the_order_of_tasks_changes(row):
    """[waters1994] the index falls from 2.25 to 2.5 a minute, where the more frequent task comes first."""
    fili, f = ([float(x) for x in cell.split()] for cell in (row.fili, row.frequency_per_min))
    found = composite_index(
        fili=fili, stli_independent=fili, frequency_per_min=f, vertical=[80.0] * len(f), duration=row.duration
    )
    assert found.index == pytest.approx(float(row.index), abs=0.001)


def test_two_budgets():
    """[brealey] a project that brings money in the second period pays for another: the first and the last."""
    worth, *limits, best = table("brealey/two_periods").rows
    gain, *uses, chosen = (np.array([float(x) for x in row["coefficients"].split()]) for row in (worth, *limits, best))
    found = by_program(gain, np.array(uses), [float(row["limit"]) for row in limits])
    assert gain @ found == float(best["limit"])
    assert (np.asarray(found) > 0).tolist() == (chosen > 0).tolist()


@pytest.mark.parametrize("path", list(tables()))
def test_a_header_is_never_better_than_its_worst_row(path):
    """The status at the top of a table is that of its worst row, whatever column the row has its status in."""
    found = table(path)
    read = [row[name] for row in found.rows for name in row if name.endswith("status") and row[name]]
    worst = max([*read, *map(found.row_status, found.rows)], key=STATUSES.index)
    assert STATUSES.index(found.status) >= STATUSES.index(worst)


def test_computed_rows_are_no_published_checks():
    """Rows that are computed come only where they are asked for, and no file of published checks asks."""
    for path in tables():
        assert all(table(path).row_status(vars(case.values[0])) != "computed" for case in rows(path))
    published = Path(__file__).parent / "published"
    assert not [test.name for test in published.glob("test_*.py") if "computed=True" in test.read_text("utf-8")]
