"""Which tests run a line, and does one of them fail when the line is changed?

What a room's tests import is loaded once. A fault within functions: their code is exchanged in a fork, all tests being
collected already. A fault in what runs at import: a fork collects the tests of few files anew with the changed module.
"""

import gc
import itertools
import json
import os
import signal
import sys
import tempfile
import time
import types
import zlib
from collections import Counter
from functools import _lru_cache_wrapper, cache
from pathlib import Path

import coverage
import hypothesis
import numpy_financial  # noqa: F401 - loaded once for all, as the next three
import pandas  # noqa: F401
import scipy.optimize  # noqa: F401
import scipy.stats  # noqa: F401
from _pytest.runner import runtestprotocol
from coverage_rooms import tests_of
from mutant_forks import anew, collected, forked

ROOT = Path(__file__).parents[2]
KINDS = ("noticed", "survived", "not run")
TIMED = {"process_time", "perf_counter"}
"""Tests that measure time are left out: a busy machine is no fault."""
FILES = 4
"""Files collected anew at most for what runs at import."""


def tried(room, faults, *, longest, budget, measured=None):
    """A verdict for each fault, one of KINDS; what was measured is kept in that file and taken from it again."""
    with tempfile.TemporaryDirectory() as folder:
        kept = Path(folder) / "kept.json"
        bench = Bench(faults, longest=longest, budget=budget, kept=kept, measured=measured)
        where = [str(path) for path in tests_of(room)]
        forked(lambda tell: collected(["-s", *where], folder, bench), quiet=False, wall_s=24 * 3600)
        if not kept.exists():
            sys.exit(f"the tests of {room} could not be collected")
        verdicts, late = json.loads(kept.read_text())
        for place, chosen in late:
            fault = faults[place]
            said = forked(lambda tell, fault=fault, chosen=chosen: anew(fault, chosen, folder, tell))
            verdicts[place] = _printed(fault, said)
    return verdicts


def _printed(fault, said, verdict=None):
    verdict = verdict or ("noticed" if said else "survived")
    if verdict != "noticed" or said.startswith("ended"):
        print(f"{verdict}: {fault.module}:{fault.line}: {fault.words} {said}", flush=True)
    return verdict


class Bench:
    """In place of pytest's loop over the tests: each alone under coverage, then each fault."""

    def __init__(self, faults, *, longest, budget, kept, measured):
        self.faults, self.longest, self.budget, self.kept = faults, longest, budget, kept
        folders = {Path(fault.file).parent for fault in faults}
        self.files, self.measured = {str(path) for folder in folders for path in folder.glob("*.py")}, measured
        self.lines, self.seconds, self.kills, self.anew = {}, {}, Counter(), []
        self.measure = coverage.Coverage(
            data_file=None,
            include=list(self.files),
            config_file=False,
            messages=False,
        )
        self.measure.set_option("run:disable_warnings", ["no-data-collected"])
        self.measure.start()

    def pytest_runtestloop(self, session):
        """The whole work."""
        self.measure.stop()
        if session.testsfailed:
            return True
        self.at_import = {name: set(self.measure.get_data().lines(name) or ()) for name in self.files}
        self.functions = _ready(self.files)
        self.items = {item.nodeid: item for item in session.items if not _left_out(item)}
        start = time.time()
        self.measure_all()
        print(f"{len(self.lines)} tests, {sum(self.seconds.values()):.0f} s; {time.time() - start:.0f} s", flush=True)
        verdicts = []
        for module, of_it in itertools.groupby(self.faults, key=lambda fault: fault.module):
            found = [self.judged(len(verdicts) + place, fault) for place, fault in enumerate(of_it)]
            verdicts += found
            counts = ", ".join(f"{found.count(kind)} {kind}" for kind in (*KINDS, None))
            print(f"{module}: {counts}; {time.time() - start:.0f} s", flush=True)
        print(f"{len(self.anew)} are left that run at import; {time.time() - start:.0f} s", flush=True)
        self.kept.write_text(json.dumps([verdicts, self.anew]))
        return True

    def measure_all(self):
        """Run each test that was not measured before alone in a fork: its time and its lines."""
        known = self.measured.read_text().splitlines() if self.measured and self.measured.exists() else ()
        found = {(name, mark): (seconds, lines) for name, mark, seconds, lines in map(json.loads, known)}
        for name, item in self.items.items():
            place = name, _mark(str(item.path), *self.files)
            if place not in found:
                said = forked(lambda tell, item=item: self.alone(item, tell))
                if not said.startswith("["):
                    print(f"fails without any fault, left out: {name} {said}", flush=True)
                    continue
                found[place] = json.loads(said)
                if self.measured:
                    with self.measured.open("a") as file:
                        print(json.dumps([*place, *found[place]]), file=file)
            self.seconds[name], self.lines[name] = found[place]
        for name in [name for name in self.lines if self.seconds[name] > self.longest]:
            print(f"left out, {self.seconds[name]:.0f} s: {name}", flush=True)
            del self.lines[name]

    def alone(self, item, tell):
        """Tell how long a test takes with all that it needs, and which lines it runs."""
        self.measure.erase()
        start = time.process_time()
        self.measure.start()
        reports = runtestprotocol(item, log=False, nextitem=None)
        self.measure.stop()
        taken, data = time.process_time() - start, self.measure.get_data()
        if not any(report.failed for report in reports):
            lines = {os.path.relpath(file, ROOT): sorted(data.lines(file)) for file in data.measured_files()}
            tell(json.dumps([taken, lines]))

    def judged(self, place, fault):
        """The verdict with the code exchanged; None where the module has to be loaded anew."""
        pairs = [
            (old, new) for old, new in zip(_codes(fault.before()), _codes(fault.after()), strict=True) if old != new
        ]
        in_functions = all(old.co_flags & 1 for old, new in pairs if _own(old) != _own(new))  # 1: a function's code
        targets = [(thing, new) for old, new in pairs for thing in self.functions.get(_key(old), ())
                   if thing.__code__ == old]  # fmt: skip
        if in_functions:
            reached = [
                name for name, lines in self.lines.items() if not fault.lines.isdisjoint(lines.get(fault.module, ()))
            ]
        else:
            reached = [name for name, lines in self.lines.items() if lines.get(fault.module)]
        reached = self.ordered(reached, fault.module)
        if not reached:
            return _printed(fault, "", "not run")
        said = ""
        if in_functions and targets:
            chosen = self.within(reached)
            said = forked(lambda tell: self.exchanged(targets, chosen, tell))
            self.kills[_family(said)] += 1
        if said or (targets and in_functions and not fault.lines & self.at_import[fault.file]):
            return _printed(fault, said)
        self.anew.append((place, self.within(_of_few_files(reached))))
        return None

    def ordered(self, names, module):
        """Quick ones that run little but this module first; each further case of the same test as if it took more."""
        weights = {name: self.weight(name, module) for name in names}
        seen = Counter()
        for name in sorted(names, key=weights.get):
            seen[_family(name)] += 1
            weights[name] *= seen[_family(name)]
        return sorted(names, key=weights.get)

    def weight(self, name, module):
        """Seconds of a test against its aim at the module and what it noticed so far."""
        runs = self.lines[name]
        aim = len(runs[module]) / sum(map(len, runs.values()))
        return self.seconds[name] / (aim * (1 + self.kills[_family(name)]))

    def within(self, names):
        """As many of the tests as the budget holds, the first in any case."""
        sums = itertools.accumulate(self.seconds[name] for name in names)
        return [name for name, sum_s in zip(names, sums, strict=True) if sum_s <= self.budget] or names[:1]

    def exchanged(self, targets, chosen, tell):
        """Run the tests with the changed functions and tell the first that fails; the processor's time is bounded."""
        for thing, new in targets:
            thing.__code__ = new
        items = [self.items[name] for name in chosen]
        for item, following in zip(items, [*items[1:], None], strict=True):
            signal.setitimer(signal.ITIMER_PROF, 2 + 5 * self.seconds[item.nodeid])
            if any(report.failed for report in runtestprotocol(item, log=False, nextitem=following)):
                tell(item.nodeid)
                os._exit(0)


def _ready(files):
    """All functions of these files by place; nothing is kept in caches, and nothing moves in memory any more."""
    hypothesis.given(hypothesis.strategies.integers())(lambda number: None)()  # reads its constants once
    functions = {}
    for thing in gc.get_objects():
        if isinstance(thing, types.FunctionType) and thing.__code__.co_filename in files:
            functions.setdefault(_key(thing.__code__), []).append(thing)
        elif isinstance(thing, _lru_cache_wrapper):
            thing.cache_clear()
    gc.collect()
    gc.freeze()
    return functions


@cache
def _mark(*files):
    """The content of these files: what was measured holds for it alone."""
    return zlib.crc32(b"".join(Path(file).read_bytes() for file in sorted(files)))


def _family(name):
    return name.split("[")[0]


def _of_few_files(names):
    files = list(dict.fromkeys(name.split("::")[0] for name in names))[:FILES]
    return [name for name in names if name.split("::")[0] in files]


def _codes(code):
    yield code
    for inner in code.co_consts:
        if isinstance(inner, types.CodeType):
            yield from _codes(inner)


def _own(code):
    return code.replace(co_consts=tuple(None if isinstance(c, types.CodeType) else c for c in code.co_consts))


def _key(code):
    return code.co_filename, code.co_qualname, code.co_firstlineno


def _left_out(item):
    code = getattr(getattr(item, "function", None), "__code__", None)
    skipped = any(mark.name == "skip" for mark in item.iter_markers())
    return skipped or "_bench" in item.nodeid or (code is not None and not TIMED.isdisjoint(code.co_names))
