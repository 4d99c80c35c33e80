"""How often 95 % intervals hold the truth of invented plants: those timed, the crew, the mold cycle, a saving."""

import pytest
from study_truth import SCENARIOS, Plant, covered


@pytest.mark.slow
@pytest.mark.parametrize("plant", [Plant(), Plant(operators=2, cycles=12, dependence=0.4, operator_sd=0.08)])
def test_forty_plants(plant):
    """Of 40, at least 33 are held (98 in 100 of sound intervals reach 34), and a range is not a third of the time."""
    for name, (share, half) in covered(plant, runs=40, seed=3, resamples=400).items():
        assert share >= 33 / 40 and half < 0.34, name


@pytest.mark.slow
@pytest.mark.parametrize(
    "name", [n if place < 2 else pytest.param(n, marks=pytest.mark.long) for place, n in enumerate(SCENARIOS)]
)
def test_four_hundred_plants(name):
    """Between 92 and 98 % of 400, allowing 2.5 points for chance; above where data cannot show less."""
    plant, unlike = SCENARIOS[name]
    for of, (share, _) in covered(plant, runs=400, seed=11).items():
        low, high = unlike.get(of, (0.92, 0.98))
        assert low - 0.025 <= share <= high + 0.025, (of, share)
