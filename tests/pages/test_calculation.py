"""A case is calculated once, beside the pages: turning the page loses nothing, and what nobody waits for ends."""

import sys
import threading
import time
from dataclasses import replace

import pytest

from coreset import assess
from coreset.errors import OutOfRange
from coreset.store.folder import read
from coreset.web import calculation
from coreset.web.calculation import Results
from coreset.web.shelf import demo_folder

CASE = read(demo_folder())
LONG_S = 60.0


class Slow:
    """In place of the assessment: goes on step by step as the test lets it, and counts how often it was begun."""

    def __init__(self, result="what follows", error=None):
        self.begun, self.steps, self.result, self.error = 0, threading.Semaphore(0), result, error

    def __call__(self, found, *, day, progress):
        self.begun += 1
        assert self.steps.acquire(timeout=LONG_S)
        progress("money", 0.5)
        assert self.steps.acquire(timeout=LONG_S)
        if self.error:
            raise self.error
        return self.result

    def go_on(self, steps=2):
        """Let it go on by so many steps."""
        self.steps.release(steps)


@pytest.fixture
def slow(monkeypatch):
    """An assessment that waits to be let on."""
    made = Slow()
    monkeypatch.setattr(assess, "assess", made)
    return made


def gone(stage, share):
    """Somebody who turns the page as soon as anything is told."""
    raise InterruptedError


def test_who_asks_for_the_same_waits_for_the_same(slow):
    """Two sessions ask for one content: calculated once, both get the same results, and are told how far it is."""
    known, told, got = Results(4, print), [], []

    def asks():
        got.append(known.awaited("a", CASE, lambda *far: told.append(far)))

    both = [threading.Thread(target=asks) for _ in range(2)]
    for one in both:
        one.start()
    slow.go_on(1)
    begun = time.monotonic()
    while ("money", 0.5) not in told and time.monotonic() < begun + LONG_S:
        time.sleep(0.01)
    assert ("money", 0.5) in told
    slow.go_on(1)
    for one in both:
        one.join(LONG_S)
    assert got == ["what follows"] * 2 and got[0] is got[1] is known.get("a")
    assert slow.begun == 1


def test_a_page_turned_loses_nothing(slow):
    """The first page is left while it calculates; the next one goes on with the same calculation."""
    known = Results(4, print)
    with pytest.raises(InterruptedError):
        known.awaited("a", CASE, gone)
    slow.go_on()
    assert known.awaited("a", CASE, print) == "what follows"
    assert slow.begun == 1


def test_what_nobody_waits_for_ends_and_is_begun_again(slow, monkeypatch):
    """Once nobody waits it ends at its next word; whoever asks later has it begun anew."""
    monkeypatch.setattr(calculation, "LEFT_S", 0.0)
    known = Results(4, print)
    with pytest.raises(InterruptedError):
        known.awaited("a", CASE, gone)
    left = known.begun("a", CASE)
    slow.go_on(1)
    assert left.ended.wait(LONG_S) and known.get("a") is None
    monkeypatch.setattr(calculation, "LEFT_S", LONG_S)
    slow.go_on()
    assert known.awaited("a", CASE, print) == "what follows"
    assert slow.begun == 2


def test_an_error_is_told_to_who_waits_and_the_next_tries_again(monkeypatch):
    """A refusal in the thread is the page's refusal, at once or late; the content can be asked for again."""
    known = Results(4, print)
    for _ in range(2):
        refusing = Slow(error=OutOfRange("at least one pattern must be timed, got none"))
        refusing.go_on()
        monkeypatch.setattr(assess, "assess", refusing)
        with pytest.raises(OutOfRange, match="must be timed"):
            known.awaited("a", CASE, print)
        assert refusing.begun == 1 and known.get("a") is None


def test_what_cannot_be_loaded_keeps_nobody_waiting(monkeypatch):
    """The assessment itself cannot be loaded, as for want of memory: told at once, not waited for without end."""
    monkeypatch.setitem(sys.modules, "coreset.assess", None)
    with pytest.raises(ImportError):
        Results(4, print).awaited("a", CASE, print)


def test_the_oldest_make_room(monkeypatch):
    """Only the last are kept, and the one that goes is told."""
    monkeypatch.setattr(assess, "assess", lambda found, day, progress: found.title)
    forgotten = []
    known = Results(2, forgotten.append)
    for title in "abc":
        known.awaited(title, replace(CASE, title=title), print)
    assert forgotten == ["a"]
    assert [known.get(title) for title in "abc"] == [None, "b", "c"]
