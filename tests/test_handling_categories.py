"""Handling: lifts gathered into categories, and two tasks added up, from the printed frequency table."""

import numpy as np
import pytest

from coreset.lifting.composite import composite_index, variable_index


@pytest.mark.rules("VLI-lifts", "VLI-six")
def test_six_ranges_of_an_index_hold_what_lies_in_them():
    """[waters2016]: 0 to 6 in six equal parts, a border belongs to the part above, the largest to the last part."""
    fili, weight = [0.0, 0.5, 1.0, 2.5, 4.5, 6.0], [1.0, 1.0, 2.0, 3.0, 1.0, 2.0]
    found = variable_index(
        fili=fili, weight=weight, total_per_min=1.0, vertical=[80] * 6, duration="long", rule="ranges"
    )
    assert found.edges == pytest.approx(range(7))
    assert found.mean_fili == pytest.approx([0.25, 1.0, 2.5, 4.5, 6.0])
    assert found.share == pytest.approx([0.2, 0.2, 0.3, 0.1, 0.2])


@pytest.mark.rules("VLI-sextiles")
@pytest.mark.unverified
def test_sextiles_are_equal_shares_of_the_lifts():
    """Later practice, memory: of sixty different lifts every tenth is a border; up to thirty the ranges are used."""
    x = np.random.default_rng(1).permutation(np.arange(1.0, 61.0))
    found = variable_index(fili=x, weight=np.ones(60), total_per_min=1.0, vertical=[80] * 60, duration="long")
    assert found.rule == "sextiles" and len(found.share) == 6
    assert found.edges == pytest.approx([1, 10, 20, 30, 40, 50, 60])
    assert (found.share * found.mean_fili).sum() == pytest.approx(30.5)
    thirty = variable_index(fili=x[:30], weight=np.ones(30), total_per_min=1.0, vertical=[80] * 30, duration="long")
    one_more = variable_index(fili=x[:31], weight=np.ones(31), total_per_min=1.0, vertical=[80] * 31, duration="long")
    assert (thirty.rule, one_more.rule) == ("ranges", "sextiles")


@pytest.mark.rules("VLI-column")
def test_lifts_that_never_occur_do_not_lower_the_column_of_their_category():
    """[waters1994] Table 5, long, 9 a minute: 0 below 75 cm, 0.15 above; a lift of weight 0 there takes no part."""
    shared = {"fili": [0.1, 0.1], "total_per_min": 9.0, "vertical": [40, 80], "duration": "long"}
    assert variable_index(weight=[0.0, 1.0], **shared).index == pytest.approx(0.1 / 0.15)
    assert variable_index(weight=[1.0, 1.0], **shared).index is None


@pytest.mark.unverified
def test_a_composite_of_two_tasks_from_the_printed_table():
    """[waters1994] 2.4.5 (memory), Table 5: 1/0.94 + 0.5 (1/0.88 - 1/0.94) at 1 and 1 + 2 a minute, short."""
    found = composite_index(
        fili=[0.5, 1.0], stli_independent=[0.4, 1.0], frequency_per_min=[2, 1], vertical=[80, 80], duration="short"
    )
    assert found.order == (1, 0) and found.cumulated_per_min == pytest.approx([1, 3])
    assert found.index == pytest.approx(1 / 0.94 + 0.5 * (1 / 0.88 - 1 / 0.94))
