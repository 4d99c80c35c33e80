"""Draws are calculated in blocks: the same as draw by draw, told block by block, whatever only some of them have."""

import numpy as np
import pytest
from plant import SECONDS, plant
from test_money_ways import FULL, exactly, timed

from coreset.figures.arrays import FLAT_CELLS, LEAST_BLOCK
from coreset.money.cash_flow import VECTORS, cash_flow
from coreset.money.simulation_inputs import draw
from coreset.money.year_plan import plan, ways

DRAWS = FLAT_CELLS // 4 + 3_000


def bench(chosen, scrap, residual=15_000.0, told=None):
    """Flow of as many draws as there are figures of scrap saved on HUB."""
    case, known = exactly(plant(line=FULL)), timed(SECONDS)
    sample, facts = draw(case, known, (), draws=len(scrap), seed=1), plan(case, known)
    sample = sample.changed({"scrap.HUB": np.asarray(scrap), "residual": residual})
    given = {} if told is None else {"progress": told.append}
    return cash_flow(sample, facts, ways(case, known)[0], case.money, np.asarray(chosen, dtype=float), **given)


def test_a_part_that_only_some_blocks_have():
    """A casting of a hundred saved in the last 3,000 draws alone: its mean by year is that share of 1,200 castings."""
    told, scrap = [], np.r_[np.zeros(DRAWS - 3_000), np.full(3_000, 0.01)]
    found = bench(np.array([[1], [1], [0], [0]]), scrap, told=told)
    assert told == [FLAT_CELLS // 4, 3_000]
    growth = 1.02 ** np.arange(11)
    wanted = 0.01 * 2 * 60_000 * 9.0 * growth * 3_000 / DRAWS
    wanted[0] = 0.0
    assert found.means["scrap"] == pytest.approx(wanted)
    assert sum(found.means.values()) == pytest.approx(found.total.mean(axis=0))


def test_each_draw_may_have_its_own_set():
    """Sets by draw over two blocks: at the edges of the blocks the flows are those of the set alone."""
    chosen = np.zeros((4, DRAWS))
    edge = FLAT_CELLS // 4
    chosen[0, :edge], chosen[1, edge:] = 1.0, 1.0
    found, alone = bench(chosen, np.zeros(DRAWS)), [bench(np.eye(4)[:, [k]], np.zeros(3)) for k in (0, 1)]
    for name in VECTORS:
        figures = getattr(found, name)
        assert figures.shape[0] == DRAWS
        for place, one in ((0, 0), (edge - 1, 0), (edge, 1), (-1, 1)):
            assert figures[place] == pytest.approx(getattr(alone[one], name)[0])
    assert alone[0].total[0, 1] != alone[1].total[0, 1] and edge > LEAST_BLOCK
