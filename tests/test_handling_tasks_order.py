"""Handling: the order of the tasks in a composite index, by the manual and never by the rows."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from coreset.lifting.composite import composite_index
from coreset.lifting.equation import frequency_multiplier

FM_1, FM_3 = 0.75, 0.55
"""[waters1994] Table 5, long, at 1 and 3 a minute."""
NOISE = st.sampled_from([1 - 1e-12, 1.0, 1 + 1e-12])
TASK = st.tuples(
    st.sampled_from([0.8, 1.0, 1.2]),
    st.sampled_from([0.5, 1.0, 3.0]),
    st.sampled_from([0.9, 1.0]),
    st.sampled_from([40.0, 80.0]),
    NOISE,
)


def composite(rows):
    """Composite index of rows of STLI, frequency, mean over largest load, V."""
    stli, f, share, v = (np.array(column) for column in zip(*rows, strict=True))
    independent = stli * frequency_multiplier(f, "long", v)
    return composite_index(
        fili=independent / share, stli_independent=independent, frequency_per_min=f, vertical=v, duration="long"
    )


@pytest.mark.rules("N-m-order")
@pytest.mark.parametrize("noise", [-1e-12, 0.0, 1e-12])
def test_of_equal_indices_the_most_frequent_task_comes_first(noise):
    """[waters1994] section 2.4.5, example 7: STLI 1.0 both, 3 a minute before 1; Table 5 by hand: FM 0.55, 0.45.

    1.0 + 0.75 (1/0.45 - 1/0.55) = 1.303; in the other order 1.0 + 0.55 (1/0.45 - 1/0.75) = 1.489.
    """
    rows = [(1.0, 1.0, 1.0, 80.0), (1.0 + noise, 3.0, 1.0, 80.0)]
    for order in (rows, rows[::-1]):
        found = composite(order)
        assert [order[place][1] for place in found.order] == [3.0, 1.0]
        assert found.index == pytest.approx(1 + FM_1 * (1 / 0.45 - 1 / FM_3))


@pytest.mark.rules("N-m-tie")
def test_a_difference_above_noise_is_a_difference():
    """STLI higher by a millionth comes first, although its task is the less frequent one."""
    found = composite([(1.0, 3.0, 1.0, 80.0), (1.000001, 1.0, 1.0, 80.0)])
    assert found.order == (1, 0)


def test_a_task_beyond_the_table_comes_first():
    """STLI without end, FM 0 at 9 a minute long below 75 cm, is larger than any other."""
    found = composite_index(
        fili=[1, 1, 1],
        stli_independent=[1, 1, 1],
        frequency_per_min=[1, 9, 9],
        vertical=[80, 40, 40],
        duration="long",
    )
    assert found.order == (1, 2, 0) and found.index is None and found.outside == 0


@pytest.mark.rules("N-m-tie")
@given(st.lists(TASK, min_size=2, max_size=8), st.randoms(use_true_random=False))
def test_the_order_of_the_rows_never_decides(tasks, chance):
    """Tasks with many equal figures, some off by noise, in any order of rows: the same index, to that noise."""
    rows = [(stli * noise, f, share, v) for stli, f, share, v, noise in tasks]
    first = composite(rows)
    shuffled = rows.copy()
    chance.shuffle(shuffled)
    again = composite(shuffled)
    assert again.index == (first.index and pytest.approx(first.index, rel=1e-9))
    stli = [round(rows[place][0], 6) for place in first.order]
    frequency = [rows[place][1] for place in first.order]
    assert list(zip(stli, frequency, strict=True)) == sorted(zip(stli, frequency, strict=True), reverse=True)
