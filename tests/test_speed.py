"""Whole processes answer within a wide multiple of the libraries they stand on, measured in the same run."""

import subprocess
import sys

import pytest
from bench.speed import ASSESS, FLOOR, LIFT, medians


@pytest.mark.slow
def test_the_assessment_costs_little_more_than_its_libraries():
    """Full uncertainty on the demo, in processor time: meant under 2.5 times the libraries' import, held under 4."""
    floor, assess = medians(FLOOR, ASSESS, times=1)
    assert assess[1] < 4.0 * floor[1]


@pytest.mark.slow
def test_one_lift_needs_no_heavy_library():
    """One lift takes less processor time than importing the libraries that it does without."""
    floor, lift = medians(FLOOR, LIFT, times=1)
    assert lift[1] < 0.8 * floor[1]


def test_the_first_page_is_there_before_any_heavy_library():
    """What the router and the first page are made of loads no array, data, statistics or drawing library."""
    said = (
        "import sys; from coreset.web import warm; [__import__(name) for name in warm.NEEDED]; "
        "import coreset.web.session; sys.exit(str({'numpy', 'pandas', 'scipy', 'altair'} & set(sys.modules)))"
    )
    run = subprocess.run([sys.executable, "-c", said], capture_output=True, text=True, check=False)
    assert run.stderr.strip().splitlines()[-1] == "set()"
