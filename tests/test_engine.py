"""Calculation beside the server: the same answer, stored by content, and not lost when a process is killed."""

import itertools
import json
import os
import signal
import subprocess
import sys
import threading
import time
from contextlib import closing
from dataclasses import dataclass, replace
from importlib.util import find_spec
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest
from lacking import impatient_cluster, need
from typer.testing import CliRunner

from coreset.assess import answered, assess
from coreset.brief.document import document
from coreset.cli.command import app
from coreset.engine import Engine, packed, processes, stored
from coreset.engine import engine as room
from coreset.errors import CoresetError, Fault, StudyError
from coreset.money import decision
from coreset.store.book import Book
from coreset.store.folder import read
from coreset.web.shelf import demo_folder

FEW = {"resamples": 100, "draws": 1_000, "replications": 20}
CASE = read(demo_folder())


@pytest.fixture(autouse=True)
def _own_results(tmp_path, monkeypatch):
    """Results of this test alone."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))


@pytest.fixture(scope="module")
def engine():
    """One process."""
    with closing(Engine("1")) as made:
        yield made


def silent(stage, share):
    """Nobody watches."""


@pytest.fixture(scope="module")
def answer():
    """The assessment of the demo in this process."""
    return assess(CASE, **FEW)


def test_a_packed_result_is_the_same(answer):
    """Every figure, not-a-number among them; what stood in two places is one object; what is packed again is equal."""
    data = packed.packed(answer)
    again = packed.unpacked(data)
    assert packed.packed(again) == data
    assert json.dumps(document(again)) == json.dumps(document(answer)), "what was not worked out yet is now, alike"
    assert again.case == CASE
    one = np.array([1.0, np.nan])
    pair = packed.unpacked(packed.packed((one, one, {("a", 1): np.float64(2.0)}, frozenset("a"))))
    assert pair[0] is pair[1] and np.isnan(pair[0][1]) and pair[2:] == ({("a", 1): 2.0}, frozenset("a"))


@dataclass
class Foreign:
    """A dataclass of another program."""

    name: str = "x"


def test_only_own_dataclasses_are_packed_and_read():
    """Nothing else is written, and bytes that name anything else, or were altered, are refused."""
    for value in (Foreign(), object(), np.array([object()]), print):
        with pytest.raises((TypeError, ValueError)):
            packed.packed(value)
    data = packed.packed(CASE.money)
    for old, new in ((b"coreset.case.money", b"subprocess.popen__"), (b'"Money"', b'"Range"'), (b"Money", b"fahre")):
        body = data[32:].replace(old, new)
        assert body != data[32:]
        with pytest.raises(ValueError, match="as it was written"):
            packed.unpacked(data[:32] + body)
        with pytest.raises(ValueError, match="of this version"):
            packed.unpacked(packed.hashlib.sha256(body).digest() + body)


@pytest.mark.slow
def test_the_process_answers_the_same_and_the_result_is_stored(engine, answer, monkeypatch):
    """The next who asks, in whatever process, reads it; a damaged file is calculated again; only its user reads it."""
    stages = []
    found = engine.assess(CASE, progress=lambda stage, share: stages.append(stage), **FEW)
    (path,) = stored.folder().iterdir()
    assert found.money.weighed is None, "the runs of every option are not stored"
    with monkeypatch.context() as patch:
        patch.setattr(decision, "every_option", None)  # nothing is worked out again of what was read
        assert json.dumps(document(found)) == json.dumps(document(answer))
        assert found.money.complete().patterns
    assert (path.stat().st_mode & 0o777, stored.folder().stat().st_mode & 0o777) == (0o600, 0o700)
    other = Engine("1")  # its processes are not started
    assert document(other.assess(CASE, progress=silent, **FEW)) == document(answer) and other._executor is None
    path.write_bytes(path.read_bytes()[:-1])
    assert document(engine.assess(CASE, progress=silent, **FEW)) == document(answer)
    assert packed.unpacked(path.read_bytes())
    small = replace(CASE, studies=CASE.studies[:1])
    assert packed.packed(engine.answer(small).standards) == packed.packed(answered(small).standards)
    key = stored.key_of(CASE, FEW)
    others = {stored.key_of(replace(CASE, title="x"), FEW), stored.key_of(CASE, FEW | {"draws": 2_000})}
    assert key == path.stem and key not in others


def test_a_process_does_not_run_the_page_that_asks(monkeypatch, tmp_path):
    """The framework of the pages makes the script that it ran last the main module: a process would run it again."""
    page = ModuleType("__main__")
    page.__file__ = str(tmp_path / "page.py")
    Path(page.__file__).write_text("raise SystemExit(1)")
    monkeypatch.setitem(sys.modules, "__main__", page)
    with closing(Engine("1")) as engine:
        assert engine._running().submit(abs, -2).result() == 2
    assert sys.modules["__main__"] is page


def test_a_refusal_comes_back_with_its_faults(engine):
    """What the calculation refuses is refused here; an error with faults survives the way."""
    import pickle

    with pytest.raises(CoresetError, match="must be"):
        engine.assess(replace(CASE, studies=(), patterns=()), progress=silent, **FEW)
    error = StudyError([Fault(file="f", found="a", expected="b")])
    assert pickle.loads(pickle.dumps(error)).faults == error.faults
    assert not list(stored.folder().glob("*"))


@pytest.mark.slow
def test_a_process_that_is_killed_loses_nothing(answer):
    """Killed twice in the middle of its case: begun again, the same answer. Killed each time: a refusal, no hang."""
    with closing(Engine("1")) as engine:
        # At every fourth look, not by the share done: the process may leave that in the folder of an earlier test.
        killed, asked = [], itertools.count(1)

        def kill(stage, share):
            if next(asked) % 4 == 0 and len(killed) < 2 and engine._executor is not None:
                for pid in engine._executor._processes:
                    killed.append(pid)
                    os.kill(pid, signal.SIGKILL)
                time.sleep(0.3)

        longer = FEW | {"draws": 100_000}
        found = engine.assess(CASE, progress=kill, **longer)
        assert len(killed) == 2
        assert document(found) == document(assess(CASE, **longer))

        def kill_all(stage, share):
            for pid in list(engine._executor._processes):
                os.kill(pid, signal.SIGKILL)

        with pytest.raises(CoresetError, match="ended 3 times"):
            engine.assess(CASE, progress=kill_all, **(FEW | {"draws": 90_000}))


def test_a_trial_tells_whether_a_case_could_be_calculated(monkeypatch):
    """Free, killed since or busy: it could. Where each process that is started ends: it could not."""
    with closing(Engine("1")) as engine:
        engine.refuse_unanswered()
        for pid in engine._executor._processes:
            os.kill(pid, signal.SIGKILL)
        engine.refuse_unanswered()
        engine._running().submit(time.sleep, 1.0)
        monkeypatch.setattr(room, "TRIAL_S", 0.01)
        engine.refuse_unanswered()
    monkeypatch.setattr(room, "TRIAL_S", 60.0)
    monkeypatch.setattr(processes, "_begin", os._exit)
    with closing(Engine("1")) as engine, pytest.raises(CoresetError, match="ended 3 times"):
        engine.refuse_unanswered()


@pytest.mark.slow
def test_processes_end_with_their_server(tmp_path):
    """A server that is killed leaves no process behind."""
    code = (
        "from coreset.engine import Engine\n"
        "if __name__ == '__main__':\n"
        "    e = Engine('2'); f = e._running().submit(int); f.result()\n"
        "    print(*e._executor._processes, flush=True)\n"
        "    import time; time.sleep(60)\n"
    )
    script = tmp_path / "server.py"
    script.write_text(code)
    server = subprocess.Popen([sys.executable, str(script)], stdout=subprocess.PIPE, text=True)
    pids = [int(pid) for pid in server.stdout.readline().split()]
    server.kill()
    server.wait()
    server.stdout.close()
    until = time.monotonic() + 20
    while time.monotonic() < until and any(os.path.exists(f"/proc/{pid}") for pid in pids):
        time.sleep(0.1)
    assert pids and not any(os.path.exists(f"/proc/{pid}") for pid in pids)


def test_the_oldest_results_make_room(monkeypatch):
    """All of them together stay below the limit; what was asked for last stays."""
    monkeypatch.setattr(stored, "MOST_BYTES", 250)
    for key in "abc":
        stored.write(key, bytes(100))
        os.utime(stored.folder() / f"{key}.result", (1, ord(key)))
        if key == "b":
            stored.read("a")
    assert [stored.read(key) is not None for key in "abc"] == [True, False, True]
    stored.clear()
    assert not list(stored.folder().iterdir())


def test_a_disk_that_takes_nothing_costs_no_answer(monkeypatch, caplog):
    """The result is there though it cannot be stored."""
    monkeypatch.setattr(stored.os, "replace", lambda *_: (_ for _ in ()).throw(OSError(28, "No space left on device")))
    stored.write("a", b"x")
    assert "No space left" in caplog.text and not list(stored.folder().iterdir())


@pytest.mark.parametrize("where", ["0", "65", "two", "1_0", "http://127.0.0.1:1"])
def test_an_engine_is_a_number_or_an_address(where):
    """All else is refused at the start."""
    with pytest.raises(CoresetError, match="engine must be"):
        Engine(where)


def test_what_nobody_waits_for_is_not_begun(monkeypatch):
    """A case that waits behind others is taken off; one that runs goes on to its end."""
    from concurrent.futures import ThreadPoolExecutor

    hold = threading.Event()
    monkeypatch.setattr(room, "calculate", lambda *_: hold.wait(20) and packed.packed("done"))
    waiting = Engine("1")

    def leave(stage, share):
        raise room.NobodyWaits

    with ThreadPoolExecutor(1) as pool, ThreadPoolExecutor(2) as askers:
        monkeypatch.setattr(waiting, "_running", lambda: pool)
        first = askers.submit(waiting.assess, CASE, progress=leave)
        while not pool._work_queue.empty() or not stored.folder:
            time.sleep(0.01)
        time.sleep(0.2)
        with pytest.raises(room.NobodyWaits):
            waiting.assess(replace(CASE, title="x"), progress=leave)
        hold.set()
        assert first.result(20) == "done"


@pytest.mark.slow
def test_every_case_of_the_database(tmp_path, monkeypatch):
    """`assess --all`: one decision a case; a case that is refused is told with status 2, the others are answered."""
    url = f"sqlite:///{tmp_path / 'book.sqlite'}"
    with closing(Book(url)) as book:
        book.keep("good", CASE, who="AP1", why="new")
        book.keep("none", replace(CASE, studies=(), patterns=(), lifts=()), who="AP1", why="new")
    few = [f"--{name}={value}" for name, value in FEW.items()]
    said = CliRunner().invoke(app, ["assess", "--all", "--book", url, "--engine", "1", *few])
    assert said.exit_code == 2 and said.stdout.startswith("good: ") and "none: " in said.stderr
    for wrong in (["assess"], ["assess", "--all", str(tmp_path)]):
        assert CliRunner().invoke(app, wrong).exit_code == 1


@pytest.fixture
def cluster(tmp_path):
    """Address of a Dask scheduler on this machine with one worker, and the process that minds the worker."""
    need(find_spec("distributed"), "NO DASK: pip install coreset[cluster]")
    file = tmp_path / "scheduler.json"
    common = [sys.executable, "-m", "dask"]
    place = ["--scheduler-file", str(file), "--host", "127.0.0.1"]
    quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}
    scheduler = subprocess.Popen([*common, "scheduler", *place, "--port", "0", "--no-dashboard"], **quiet)
    worker = subprocess.Popen([*common, "worker", *place, "--nthreads", "1", "--no-dashboard"], **quiet)
    until = time.monotonic() + 60
    while not file.exists() and time.monotonic() < until:
        time.sleep(0.1)
    yield json.loads(file.read_text())["address"], worker, scheduler
    for process in (worker, scheduler):
        process.terminate()
        process.wait()


@pytest.mark.slow
def test_a_dask_scheduler_answers_the_same(cluster):
    """The same case by a cluster whose worker is killed in the middle."""
    address, minder, _ = cluster
    killed = []

    def kill(stage, share):
        children = Path(f"/proc/{minder.pid}/task/{minder.pid}/children").read_text().split()
        if stage == "money" and not killed:
            killed.extend(children)
            for pid in children:
                os.kill(int(pid), signal.SIGKILL)

    with closing(Engine(address)) as engine:
        longer = FEW | {"draws": 100_000}
        found = document(engine.assess(CASE, progress=kill, **longer))
    expected = document(assess(CASE, **longer))
    money, alone = found.pop("money"), expected.pop("money")
    assert killed and found == expected
    # sums of the value of studies run over several threads here and over one there: the last digit differs
    assert money.pop("studies")[0]["worth"] == pytest.approx(alone.pop("studies")[0]["worth"], rel=1e-12)
    assert money == alone


@pytest.mark.slow
def test_a_trial_of_a_cluster_tells_what_it_lacks(cluster):
    """Nothing, then its worker, then the scheduler itself."""
    address, *processes = cluster

    def lacks(engine):
        try:
            engine.refuse_unanswered()
        except CoresetError as error:
            return str(error)
        return ""

    with impatient_cluster(2), closing(Engine(address)) as engine:
        for process, words in zip((None, *processes), ("", "must have a worker", "must be reachable"), strict=True):
            if process:
                process.terminate()
                process.wait()
            until, found = time.monotonic() + 120, None
            while found is None or words not in found or (found and not words):
                assert time.monotonic() < until, found
                found = lacks(engine)


def test_a_scheduler_that_is_not_there_is_said():
    """A refusal in words, soon."""
    with impatient_cluster(), pytest.raises(CoresetError, match="reachable"):
        Engine("tcp://127.0.0.1:1").assess(CASE, progress=silent, **FEW)
