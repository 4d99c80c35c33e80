"""DEVELOPERS.md is short, and what it names is there."""

import re
from pathlib import Path

from test_rooms import ROOMS

ROOT = Path(__file__).parents[1]
TEXT = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
PLACES = (ROOT, ROOT / "coreset", ROOT / "tests")
"""Where a path that is named may begin."""


def test_it_is_read_in_a_quarter_of_an_hour():
    """At most 10 KB."""
    assert len(TEXT.encode()) <= 10_000


def test_the_map_has_every_room_in_the_order_that_is_held():
    """The first column of the map is the list of rooms that imports are held to."""
    cells = re.findall(r"^\| ((?:`[\w/]+`(?:, )?)+) \|", TEXT, flags=re.MULTILINE)
    named = [name.split("/")[0] for cell in cells for name in re.findall(r"`([\w/]+)`", cell)]
    assert list(dict.fromkeys(named)) == ROOMS


def test_each_dependency_has_its_one_reason():
    """Every dependency of pyproject.toml, but the tool that builds, has a reason behind it."""
    lines = (ROOT / "pyproject.toml").read_text(encoding="utf-8").splitlines()
    named = [line for line in lines if re.match(r'^    "[a-z0-9-]+(\[\w+\])?[><=]', line)]
    assert len(named) > 20
    assert not [line for line in named if not re.search(r'",  # \w', line)]


def test_every_file_that_is_named_is_there():
    """A path in backquotes is one of the repository, of coreset or of the tests."""
    paths = [path for path in re.findall(r"`([\w./*]+/[\w./*]*|[\w*]+\.(?:py|md|toml))`", TEXT) if "<" not in path]
    assert len(paths) > 20
    missing = [path for path in paths if not any(list(place.glob(path.rstrip("/"))) for place in PLACES)]
    assert not missing
