"""Results in files that only their user can read: by the content of the case, the options and the program itself."""

from __future__ import annotations

import hashlib
import json
import logging
import os
import platform
from collections.abc import Mapping
from contextlib import suppress
from functools import cache
from importlib.metadata import version
from importlib.resources import files
from pathlib import Path
from tempfile import mkstemp
from typing import Any

from coreset.case import Case
from coreset.case.digest import digest

MOST_BYTES = 512 * 1024**2
"""All results together; those that were asked for longest ago make room. [bytes]"""
SUFFIX, PROGRESS = ".result", ".progress"
LIBRARIES = ("numpy", "pandas", "scipy")
LOG = logging.getLogger("coreset.engine")


def folder() -> Path:
    """Where results lie: next to the database of a single user, in the user's data folder."""
    home = Path(os.environ.get("XDG_DATA_HOME") or Path.home() / ".local" / "share")
    return home / "coreset" / "results"


@cache
def program() -> str:
    """Name of what calculates: the text of its modules and tables, and the libraries; another one, other results."""
    total = hashlib.sha256(platform.python_version().encode())
    for library in LIBRARIES:
        total.update(version(library).encode())
    for root in (files("coreset"), files("coreset.reference")):
        for path in sorted(Path(str(root)).rglob("*")):
            if path.suffix in (".py", ".csv", ".toml"):
                total.update(path.name.encode() + path.read_bytes())
    return total.hexdigest()


def key_of(case: Case, options: Mapping[str, Any]) -> str:
    """Name of the results of a case under those options."""
    asked = json.dumps([program(), sorted(options.items())])
    return f"{digest(case)}-{hashlib.sha256(asked.encode()).hexdigest()[:32]}"


def read(key: str) -> bytes | None:
    """Stored bytes; None where there are none, or they cannot be read."""
    path = folder() / (key + SUFFIX)
    try:
        data = path.read_bytes()
        os.utime(path)  # asked for last
    except OSError:
        return None
    return data


def write(key: str, data: bytes) -> None:
    """Store bytes; a disk that does not take them costs no more than the next calculation."""
    place = folder()
    try:
        place.mkdir(mode=0o700, parents=True, exist_ok=True)
        handle, part = mkstemp(dir=place, suffix=".part")  # mode 0600
        try:
            with os.fdopen(handle, "wb") as out:
                out.write(data)
            os.replace(part, place / (key + SUFFIX))
        except OSError:
            os.unlink(part)
            raise
        _make_room(place)
    except OSError as error:
        LOG.warning("result not stored: %s", error.strerror)


def _make_room(place: Path) -> None:
    rows = sorted(((s := path.stat()).st_mtime, s.st_size, path) for path in place.glob("*" + SUFFIX))
    total = sum(size for _, size, _ in rows)
    for _, size, path in rows:
        if total <= MOST_BYTES:
            return
        path.unlink(missing_ok=True)
        total -= size


def clear() -> None:
    """Delete every result: they hold the codes of people."""
    for path in folder().glob("*"):
        path.unlink(missing_ok=True)


def tell(key: str, stage: str, share: float) -> None:
    """Leave word how far a calculation is; whoever waits for it may be another process.

    Parameters
    ----------
    key : str
        Name of the result's file.
    stage : str
        Part that is calculated now, a word without a space.
    share : float
        Done of the whole, 0 to 1. [-]
    """
    with suppress(OSError):
        path = folder() / (key + PROGRESS)
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        path.write_text(f"{stage} {share}", encoding="ascii")


def told(key: str) -> tuple[str, float] | None:
    """How far a calculation is; None where nothing is known."""
    try:
        stage, share = (folder() / (key + PROGRESS)).read_text(encoding="ascii").split()
        return stage, float(share)
    except (OSError, ValueError):  # also half a word: it is written while it is read
        return None


def no_more_to_tell(key: str) -> None:
    """The calculation has ended."""
    with suppress(OSError):
        (folder() / (key + PROGRESS)).unlink(missing_ok=True)
