"""Handling: the coarse grid of the variable index, five loads by two heights by three reaches."""

import numpy as np
import pytest
from handling_cases import case, lift, standard
from hypothesis import given
from hypothesis import strategies as st

from coreset.lifting.composite import variable_index
from coreset.lifting.equation import frequency_multiplier
from coreset.lifting.lift_end import Posture, rate
from coreset.lifting.pace_and_mix import job_mix
from coreset.lifting.variable_grid import CELLS, HEIGHTS, LOADS, REACHES, gathered, zones
from coreset.sources import table

DURATION = st.sampled_from(["short", "moderate", "long"])
ROW = st.tuples(st.floats(1, 30), st.floats(15, 63), st.floats(0, 175), st.floats(0, 135), st.floats(0.1, 5))


def measured(rows):
    """Columns of lifts with their FIRWL by the equation."""
    mass, h, v, a, weight = (np.array(column) for column in zip(*rows, strict=True))
    limit = rate(Posture(horizontal=h, vertical=v, angle_deg=a, duration="short", coupling="good")).rwl
    return {"mass": mass, "horizontal": h, "vertical": v, "limit": limit, "weight": weight}


@pytest.mark.rules("VLI-grid")
def test_shape_of_the_grid():
    """[waters2016] an abstract of the procedure: 5 loads x 2 vertical x 3 horizontal geometries, at most 30."""
    assert (LOADS, HEIGHTS, REACHES, CELLS) == (5, 2, 3, 30)


@pytest.mark.rules("VLI-grid")
@pytest.mark.unverified
def test_zones_from_memory():
    """[waters2016], memory: reaches to 40, 50 and 63 cm, heights from 51 to 125 cm and away from them."""
    assert table("waters2016/grid_zones").status == "memory"
    assert zones("metric") == {"reach_near": 40, "reach_middle": 50, "height_low": 51, "height_high": 125}
    assert zones("us") == {"reach_near": 16, "reach_middle": 20, "height_low": 20, "height_high": 49}
    assert _zone(40, 51) == _zone(25, 125) == 0 and _zone(40, 50) == _zone(40, 126) == 1
    assert _zone(41, 75) == _zone(50, 75) == 2 and _zone(51, 75) == _zone(63, 75) == 4


def _zone(h, v):
    """Place, among one lift of each zone (near, middle, far; at the reference, away), that a lift falls into."""
    others = [(5, reach, height, 0, 1) for height in (75, 20) for reach in (30, 45, 60)]
    heavier = int(np.argmax(gathered(**measured([*others, (5, h, v, 0, 1)])).weight))
    return heavier % 3 * 2 + heavier // 3


@given(ROW, st.integers(1, 50), st.floats(0.2, 8), DURATION)
def test_one_cell_is_the_index(row, count, f, duration):
    """Lifts that are all alike fill one cell, and its VLI is the LI of the equation itself."""
    columns = measured([row] * count)
    grid = gathered(**columns)
    assert len(grid.fili) == 1
    fm = frequency_multiplier(f, duration, row[2])
    found = variable_index(
        fili=grid.fili, weight=grid.weight, vertical=grid.vertical_origin, total_per_min=f, duration=duration
    )
    if fm > 0:
        assert found.index == pytest.approx(row[0] / (columns["limit"][0] * fm))


@given(st.lists(ROW, min_size=1, max_size=200))
def test_cells_lie_between_the_best_and_the_worst_of_what_they_hold(rows):
    """Bounds: at most 30 cells, every lift in one of them, each between its best and its worst values together."""
    columns = measured(rows)
    grid = gathered(**columns)
    hm = 25 / np.maximum(columns["horizontal"], 25)
    vm = 1 - 0.003 * np.abs(columns["vertical"] - 75)
    rest = columns["limit"] / (23 * hm * vm)
    worst = columns["mass"].max() / (23 * hm.min() * vm.min() * rest.min())
    best = columns["mass"].min() / (23 * hm.max() * vm.max() * rest.max())
    assert 1 <= len(grid.fili) <= CELLS and grid.weight.sum() == pytest.approx(columns["weight"].sum())
    assert grid.fili.max() <= worst * (1 + 1e-9) and grid.fili.min() >= best * (1 - 1e-9)
    assert np.isin(grid.vertical_origin, columns["vertical"]).all()


@given(st.lists(ROW, min_size=1, max_size=60), st.floats(1.0, 2.0))
def test_heavier_loads_never_lower_the_grid(rows, more):
    """All loads heavier by a share: every cell's FILI rises by that share, and no lift changes its cell."""
    columns = measured(rows)
    before = gathered(**columns)
    after = gathered(**columns | {"mass": columns["mass"] * more})
    total = [float(np.average(grid.fili, weights=grid.weight)) for grid in (before, after)]
    assert total[1] >= total[0] * (1 - 1e-9)


def test_the_grid_agrees_with_its_lifts_where_both_are_split_alike():
    """A thousand lifts: within 5 % by shares; by ranges cells lie below, as means hide extremes (own calculation)."""
    rng = np.random.default_rng(3)
    rows = list(
        zip(
            rng.uniform(3, 15, 1000),
            rng.uniform(25, 60, 1000),
            rng.uniform(40, 140, 1000),
            rng.uniform(0, 45, 1000),
            np.ones(1000),
            strict=True,
        )
    )
    columns = measured(rows)
    grid = gathered(**columns)
    assert len(grid.fili) == CELLS
    index = {
        (form, rule): variable_index(fili=f, weight=w, vertical=v, total_per_min=4.0, duration="long", rule=rule).index
        for form, f, w, v in (
            ("cells", grid.fili, grid.weight, grid.vertical_origin),
            ("lifts", columns["mass"] / columns["limit"], columns["weight"], columns["vertical"]),
        )
        for rule in ("ranges", "sextiles")
    }
    assert index["cells", "sextiles"] == pytest.approx(index["lifts", "sextiles"], rel=0.05), index
    assert index["lifts", "sextiles"] < index["cells", "ranges"] < index["lifts", "ranges"]


def test_a_job_mix_says_both_forms():
    """One kind of lift: one cell, both forms the same; two kinds in two zones: two cells."""
    one = job_mix(case(lift()), [standard(60)], method="manual")
    assert one.cells == 1 and one.gridded.index == pytest.approx(one.variable.index)
    two = job_mix(case(lift(), lift(task="far", horizontal_destination=60.0)), [standard(60)], method="manual")
    assert two.cells == 2 and two.gridded.index == pytest.approx(two.variable.index)


@pytest.mark.rules("VLI-sextiles")
def test_sextiles_part_the_lifts_not_their_range():
    """Six shares of equal weight: twelve equal lifts are parted after every second; a heavy one takes its borders.

    Arithmetic by hand: of weights 6, 2, 2, 2 the shares reached are 1/2, 2/3, 5/6 and 1.
    """
    given = {"total_per_min": 2.0, "duration": "long", "rule": "sextiles"}
    even = variable_index(fili=range(1, 13), weight=[1] * 12, vertical=[80.0] * 12, **given)
    assert even.edges.tolist() == [1, 2, 4, 6, 8, 10, 12]
    heavy = variable_index(fili=[1, 2, 3, 4], weight=[6, 2, 2, 2], vertical=[80.0] * 4, **given)
    assert heavy.edges.tolist() == [1, 2, 3, 4]
