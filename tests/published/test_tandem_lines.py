"""Throughput of lines with exponential stations, and of two-stage lines that break down, against published figures."""

import numpy as np
import pytest
from line_oracles import exact_throughput, throughput
from printed import as_printed, rows

PUBLISHED = rows("hunt1956/throughput") + rows("hillier1967/throughput")
MOLDS, REPLICATIONS = 5_000, 200


def numbers(text, kind=float):
    """The numbers of a cell."""
    return tuple(kind(part) for part in text.split())


@pytest.mark.rules("LINE-blocking")
@pytest.mark.unverified
@pytest.mark.parametrize("row", PUBLISHED)
def test_exact_chain_gives_the_printed_throughput(row):
    """[hunt1956], [hillier1967] (memory): the chain of the tests is the line that they describe."""
    assert exact_throughput(numbers(row.rates), numbers(row.places, int)) == as_printed(row.molds_per_unit_time)


@pytest.mark.unverified
@pytest.mark.parametrize("row", PUBLISHED)
def test_recursion_gives_the_printed_throughput(row):
    """[hunt1956], [hillier1967] (memory): balanced lines of two to six stations within simulation error."""
    rates = numbers(row.rates)
    service = np.random.default_rng(5).exponential(1.0, (len(rates), MOLDS, REPLICATIONS))
    mean, error = throughput(service, numbers(row.places, int))
    assert mean == pytest.approx(float(row.molds_per_unit_time), abs=4 * error + 5e-5)
    assert error < 0.001


def test_textbook_formula_for_unequal_stages_exceeds_its_own_bound():
    """Negative: the unequal-rate formula as remembered promises more than the worse stage can do; the line does not."""
    cycle, lasts, f1, f2, b = 1.2, 8.0, 0.08, 0.02, 200
    whole, ratio = int(b * cycle / lasts), f1 / f2
    rest = b - whole * lasts / cycle
    h = ratio * (1 - ratio**whole) / (1 - ratio ** (whole + 1))
    h += (
        rest
        * cycle
        / lasts
        * ratio ** (whole + 1)
        * (1 - ratio) ** 2
        / ((1 - ratio ** (whole + 1)) * (1 - ratio ** (whole + 2)))
    )
    lost = f1 * lasts / (cycle + (f1 + f2) * lasts)
    formula = cycle / (cycle + (f1 + f2) * lasts) + lost * h * cycle / (cycle + f2 * lasts)
    bound = cycle / (cycle + f1 * lasts)
    assert formula > 1.3 * bound
    rng = np.random.default_rng(9)
    chances = np.array([f1, f2])[:, None, None]
    service = cycle + np.where(rng.random((2, MOLDS, REPLICATIONS)) < chances, lasts, 0.0)
    mean, error = throughput(service, (b,))
    assert mean * cycle < bound + 4 * error * cycle
