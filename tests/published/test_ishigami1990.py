"""[ishigami1990]: the test function whose total-order indices are known in closed form, a = 7, b = 0.1."""

import numpy as np
import pytest

from coreset.money.input_effects import exchanged_squares


@pytest.mark.rules("SENS-total")
def test_total_order_indices():
    """0.5576, 0.4424 and 0.2437 from the closed form; plain draws come within 0.01."""
    rng = np.random.default_rng(12)
    n = 200_000
    first, second = ({f"x{i}": rng.uniform(-np.pi, np.pi, n) for i in (1, 2, 3)} for _ in range(2))

    def ishigami(x, size):
        assert all(len(column) == size for column in x.values())
        return np.sin(x["x1"]) + 7 * np.sin(x["x2"]) ** 2 + 0.1 * x["x3"] ** 4 * np.sin(x["x1"])

    moved, variance = exchanged_squares(ishigami, first, second, {name: [name] for name in first})
    assert [square / (2 * variance) for square in moved.values()] == pytest.approx([0.5576, 0.4424, 0.2437], abs=0.01)


def test_closed_form_digits():
    """The digits above from the closed form itself."""
    a, b, p = 7.0, 0.1, np.pi
    v1, v2, v13 = 0.5 * (1 + b * p**4 / 5) ** 2, a**2 / 8, b**2 * p**8 * (1 / 18 - 1 / 50)
    total = v1 + v2 + v13
    assert [(v1 + v13) / total, v2 / total, v13 / total] == pytest.approx([0.5576, 0.4424, 0.2437], abs=5e-5)
