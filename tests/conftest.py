"""What all tests share: the suites that are left out unless named, and a check that no test leaves anything behind."""

import asyncio
import os

import pytest
from hypothesis import settings

# Properties are tested, not the speed of the machine. The same code meets the same examples, so that a newcomer's run
# and the next one agree; CORESET_EXAMPLES=random looks for new ones.
settings.register_profile("same", deadline=None, derandomize=True, database=None)
settings.register_profile("random", deadline=None, print_blob=True)
settings.load_profile(os.environ.get("CORESET_EXAMPLES", "same"))

SUITES = ("browser", "slow", "long", "postgres")
"""Marks of the tests that run only where `-m` names them, as in `-m browser` or `-m "browser or slow"`."""


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(config, items):
    """Leave out the tests of each suite that `-m` does not name."""
    unnamed = [suite for suite in SUITES if suite not in config.option.markexpr]
    left_out = [item for item in items if any(item.get_closest_marker(suite) for suite in unnamed)]
    if left_out:
        config.hook.pytest_deselected(items=left_out)
        items[:] = [item for item in items if not any(item.get_closest_marker(suite) for suite in unnamed)]


SET_BY_LIBRARIES = {"PYTEST_CURRENT_TEST", "MPLBACKEND"}
"""What pytest sets for each test, and streamlit when it is imported for the first time."""


def running_loop():
    """The event loop that runs in this thread, or None."""
    try:
        return asyncio.get_running_loop()
    except RuntimeError:
        return None


def process_state():
    """What a test could change for those after it: the event loop, the environment, the working folder."""
    environment = {name: value for name, value in os.environ.items() if name not in SET_BY_LIBRARIES}
    return {"event loop": running_loop(), "environment": environment, "working folder": os.getcwd()}


@pytest.fixture(autouse=True)
def _nothing_left_behind(request):
    """Fail a test that starts in a loop of a browser test of another folder, or that changes the process for others."""
    before = process_state()
    in_pages = request.path.parent.name == "pages"
    assert in_pages or before["event loop"] is None, "an earlier test left an event loop running"
    yield
    after = process_state()
    assert after == before, [name for name in before if after[name] != before[name]]


@pytest.fixture(autouse=True)
def _own_data_home(_nothing_left_behind, tmp_path_factory, monkeypatch):
    """No test writes into the user's own data folder."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path_factory.getbasetemp() / "data-home"))


collect_ignore_glob = ["bench/fuzz_readers.py", "bench/mutant*.py"]
"""Scripts that need what the tests do not."""
