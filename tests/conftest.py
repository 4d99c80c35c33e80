"""What all tests share: the switch for slow ones, and a Chromium that must be there in CI."""

import pytest
from hypothesis import settings

settings.register_profile("coreset", deadline=None)  # laws are judged, not the pace of a machine that does other work
settings.load_profile("coreset")


def pytest_addoption(parser):
    """Slow suites run by a flag only."""
    parser.addoption("--slow", action="store_true", help="also run what takes minutes")


def pytest_collection_modifyitems(config, items):
    """Leave slow tests out unless asked for."""
    if config.getoption("--slow"):
        return
    skip = pytest.mark.skip(reason="slow: run with --slow")
    for item in items:
        if "slow" in item.keywords:
            item.add_marker(skip)


@pytest.fixture(autouse=True)
def _own_data_home(tmp_path_factory, monkeypatch):
    """No test writes into the user's own data folder."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path_factory.getbasetemp() / "data-home"))


collect_ignore_glob = ["bench/fuzz_readers.py", "bench/mutant*.py"]
"""Scripts that need what the tests do not."""
