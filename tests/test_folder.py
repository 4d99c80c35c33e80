"""A case goes to files and comes back; nothing is lost, nothing is half-written."""

import json
import tempfile
from functools import partial
from pathlib import Path

import pytest
from cases import cases
from hypothesis import HealthCheck, Phase, given, settings

from coreset.store import folder

unshrunk = partial(
    settings, suppress_health_check=list(HealthCheck), phases=[Phase.explicit, Phase.reuse, Phase.generate]
)
"""A generated case is large: shrinking one takes longer than reading it."""


def assert_comes_back(case):
    """A case is equal to itself after files, and after JSON."""
    with tempfile.TemporaryDirectory() as work:
        folder.write(case, Path(work) / "case")
        assert folder.read(Path(work) / "case") == case
    assert folder.build(json.loads(json.dumps(folder.plain(case), allow_nan=False))) == case


@unshrunk(max_examples=6)
@given(cases())
def test_a_case_written_is_the_case_read(case):
    """Whatever the limits allow, in every field, comes back equal, from files and from JSON."""
    assert_comes_back(case)


@pytest.mark.slow
@unshrunk(max_examples=60)
@given(cases())
def test_many_cases_written_are_the_cases_read(case):
    """The same for ten times as many."""
    assert_comes_back(case)
