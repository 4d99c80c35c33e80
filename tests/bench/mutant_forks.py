"""Processes for faults: a fork that tells what it found, and one that collects tests with a module changed."""

import importlib.util
import os
import resource
import signal
import sys
import traceback
from importlib.machinery import SourceFileLoader
from pathlib import Path

import hypothesis
import pytest

ROOT = Path(__file__).parents[2]
MEMORY = 6 << 30
WALL_S = 400
hypothesis.settings.register_profile(
    "mutants", deadline=None, derandomize=True, database=None, suppress_health_check=list(hypothesis.HealthCheck),
    phases=(hypothesis.Phase.explicit, hypothesis.Phase.generate),
)  # fmt: skip


def forked(do, *, quiet=True, wall_s=WALL_S):
    """What a fork told, or how it ended where it told nothing and did not end well; "" for neither."""
    there, here = os.pipe()
    sys.stdout.flush()
    child = os.fork()
    if child == 0:
        try:
            os.close(there)
            signal.alarm(wall_s)
            if quiet:
                nothing = os.open(os.devnull, os.O_RDWR)
                for stream in (1, 2):
                    os.dup2(nothing, stream)
                resource.setrlimit(resource.RLIMIT_AS, (MEMORY, MEMORY))
            do(lambda words: os.write(here, words.encode()))
            os._exit(0)
        except BaseException:
            os.write(here, traceback.format_exc().encode()[-2000:])
        finally:
            os._exit(1)
    os.close(here)
    with os.fdopen(there) as told:
        said = told.read()
    status = os.waitpid(child, 0)[1]
    if os.WIFSIGNALED(status):
        return f"ended by {signal.Signals(os.WTERMSIG(status)).name}"
    if status:
        raise RuntimeError(f"a fork failed by itself: {said}")
    return said


def collected(arguments, folder, plugin):
    """Run pytest on these, with the plugin; what it returns."""
    options = ["-p", "no:cacheprovider", "-p", "no:xdist", "-p", "no:faulthandler", "-q", f"--rootdir={ROOT}"]
    options += [f"--basetemp={folder}/temp", "--hypothesis-profile=mutants"]
    options += ["-W", "ignore::pytest.PytestAssertRewriteWarning"]
    return pytest.main([*options, *arguments], plugins=[plugin])


def anew(fault, chosen, folder, tell):
    """Collect the tests with the changed module in its place, run them, tell if one fails."""
    order = {node: place for place, node in enumerate(chosen)}

    class Chosen:
        """Puts the changed module before pytest's own importer, which takes files that are named to it."""

        def pytest_configure(self):
            sys.meta_path.insert(0, _Instead(fault))

        def pytest_collection_modifyitems(self, items):
            items[:] = sorted((item for item in items if item.nodeid in order), key=lambda item: order[item.nodeid])

    files = sorted({str(ROOT / node.split("::")[0]) for node in chosen})
    if collected(["-x", *files], folder, Chosen()) != 0:
        tell("a test failed")


class _Instead(SourceFileLoader):
    """Finds and loads one module as changed code."""

    def __init__(self, fault):
        super().__init__(fault.module.removesuffix(".py").replace("/", "."), fault.file)
        self.code = fault.after()

    def find_spec(self, name, path=None, target=None):
        if name != self.name:
            return None
        return importlib.util.spec_from_file_location(name, self.path, loader=self)

    def get_code(self, name):
        return self.code
