"""Numbers at the ends of what a double holds, in every field of a case: an answer or the documented error."""

import copy
import itertools
import json
import random
import resource
import signal
import warnings
from contextlib import contextmanager
from importlib.resources import files
from pathlib import Path

import pytest
from mutations import small

from coreset.assess import assess
from coreset.brief.document import document
from coreset.errors import CoresetError
from coreset.store import folder

DEMO = small(folder.read(Path(str(files("coreset.studies") / "ostrander_bend"))), cycles=12)
PARTS = folder.plain(DEMO)
MEMORY, SECONDS = 3 << 30, 120
EXTREMES = (0.0, 1e-9, 1.0, 1e12, -1.0, 5e-324, 1e308, -1e308, float("nan"), float("inf"))


def places(tree, path=()):
    """Where each number of the plain parts stands; of readings, one."""
    if isinstance(tree, dict):
        for key, value in tree.items():
            yield from places(value, (*path, key))
    elif isinstance(tree, list):
        for i, value in enumerate(tree[:1] if "readings" in path else tree):
            yield from places(value, (*path, i))
    elif isinstance(tree, int | float) and not isinstance(tree, bool):
        yield path


PLACES = sorted(places(PARTS), key=str)


def put(path, value):
    """The parts with one number changed."""
    parts = copy.deepcopy(PARTS)
    inner = parts
    for key in path[:-1]:
        inner = inner[key]
    inner[path[-1]] = value
    return parts


def held():
    """Address space of this process now: what ran before in it counts for nothing. [bytes]"""
    return int(Path("/proc/self/statm").read_text(encoding="ascii").split()[0]) * resource.getpagesize()


@contextmanager
def bounded(where):
    """Within that much more memory and time of the processor; how busy the machine is does not matter."""
    soft, hard = resource.getrlimit(resource.RLIMIT_AS)

    def late(*_):
        raise AssertionError(f"{where}: not done in {SECONDS} s of the processor")

    before = signal.signal(signal.SIGPROF, late)
    resource.setrlimit(resource.RLIMIT_AS, (held() + MEMORY, hard))
    signal.setitimer(signal.ITIMER_PROF, SECONDS)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.signal(signal.SIGPROF, before)
        resource.setrlimit(resource.RLIMIT_AS, (soft, hard))


def tried(chosen):
    """Each place with each extreme: how many were refused when read, refused when assessed, and answered."""
    outcomes = {"not read": 0, "not assessed": 0, "answered": 0}
    for path, value in chosen:
        where = f"{'.'.join(map(str, path))} = {value}"
        try:
            case = folder.build(put(path, value))
        except CoresetError:
            outcomes["not read"] += 1
            continue
        assert "readings" in path or value == 0 or 1e-9 <= abs(value) <= 1e12, f"{where} was read"
        try:
            with bounded(where), warnings.catch_warnings():
                warnings.simplefilter("ignore")
                json.dumps(document(assess(case, resamples=50, draws=100, replications=20)), allow_nan=False)
            outcomes["answered"] += 1
        except CoresetError:
            outcomes["not assessed"] += 1
        except Exception as error:
            raise AssertionError(f"{where}: {type(error).__name__}: {error}") from error
    return outcomes


NO_NUMBERS = (float("nan"), float("inf"), 5e-324, 1e308)
FIELDS = [path for path in PLACES if "readings" not in path]


@pytest.mark.slow
def test_no_field_takes_what_is_no_number_or_of_no_size():
    """Every number of the case, set in turn to NaN, infinity, a denormal or 1e308, is refused when it is read."""
    chosen = list(zip(FIELDS, itertools.cycle(NO_NUMBERS), strict=False))
    assert tried(chosen)["not read"] == len(FIELDS)


@pytest.mark.slow
def test_no_field_takes_any_of_them():
    """Every number of the case, set to each of these."""
    chosen = list(itertools.product(FIELDS, NO_NUMBERS))
    assert tried(chosen)["not read"] == len(chosen)


def test_extreme_numbers_give_an_answer_or_a_refusal():
    """Eight fields at random by a fixed seed, each at an end of the doubles."""
    rng = random.Random(4)
    outcomes = tried([(rng.choice(PLACES), rng.choice(EXTREMES)) for _ in range(8)])
    assert outcomes["not read"] + outcomes["answered"] > 4


@pytest.mark.long
def test_every_field_at_every_extreme():
    """All of them."""
    outcomes = tried([(path, value) for path in PLACES for value in EXTREMES])
    assert outcomes["answered"] > 100
