"""What a machine lacks: the test is skipped with a loud reason, and fails where CI=true promises that it is there."""

import os
import subprocess
from contextlib import contextmanager
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path

import pytest

IN_CI = bool(os.environ.get("CI"))
MAY_MOUNT = 1 << 21
"""CAP_SYS_ADMIN in a process's effective rights, capability(7)."""


def lacking(reason):
    """Leave the test for a stated reason; in CI that is a failure."""
    (pytest.fail if IN_CI else pytest.skip)(reason)


def need(there, reason):
    """Go on only where it is there."""
    if not there:
        lacking(reason)


def may_mount():
    """Whether this process has the right to mount a disk."""
    rights = [line for line in Path("/proc/self/status").read_text().splitlines() if line.startswith("CapEff")]
    return bool(rights) and bool(int(rights[0].split()[1], 16) & MAY_MOUNT)


@contextmanager
def small_disk(place, size):
    """A disk of that size ("1m"), mounted at a new folder; even CI may not have the right: then a stated reason."""
    if not may_mount():
        pytest.skip("NO RIGHT TO MOUNT: a full disk is not tested here; run as root with CAP_SYS_ADMIN")
    place.mkdir()
    made = subprocess.run(["mount", "-t", "tmpfs", "-o", f"size={size}", "tmpfs", place], capture_output=True)
    need(made.returncode == 0, f"NO SMALL DISK: a full disk is not tested here; mount said {made.stderr!r}")
    try:
        yield place
    finally:
        subprocess.run(["umount", "-l", place], check=True)


def impatient_cluster(seconds=0.2):
    """Setting of a cluster's client that gives up to connect after so long; its own come first, or go with it."""
    need(find_spec("distributed"), "NO DASK: pip install coreset[cluster]")
    import_module("distributed")
    return import_module("dask").config.set({"distributed.comm.timeouts.connect": f"{seconds}s"})
