"""A case goes to files and comes back; nothing is lost, nothing is half-written."""

import json
import tempfile
from pathlib import Path

from cases import cases
from hypothesis import HealthCheck, Phase, given, settings

from coreset import folder


@settings(
    max_examples=40,
    deadline=None,
    suppress_health_check=list(HealthCheck),
    phases=[Phase.explicit, Phase.reuse, Phase.generate],
)
@given(cases())
def test_a_case_written_is_the_case_read(case):
    """Whatever the limits allow, in every field, comes back equal, from files and from JSON."""
    with tempfile.TemporaryDirectory() as work:
        folder.write(case, Path(work) / "case")
        assert folder.read(Path(work) / "case") == case
    assert folder.build(json.loads(json.dumps(folder.plain(case), allow_nan=False))) == case
