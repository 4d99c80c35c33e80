"""Several people on one case at the same moment: what was acknowledged holds, on either store."""

import dataclasses
import threading
import time
from functools import partial

import pytest
from book_cases import CORRECTION, case, study

from coreset.case import Readings
from coreset.errors import BookError
from coreset.store.book import Book
from coreset.store.book.presses import Press

TRIALS = [4, pytest.param(500, marks=pytest.mark.long)]
"""Trials of each race: a few at every run, many with `-m long` (a quarter of an hour on each store)."""


@pytest.fixture
def servers(url):
    """Two servers on one book."""
    opened = [Book(url), Book(url)]
    yield opened
    for book in opened:
        book.close()


def at_once(*acts):
    """What each act gave or was refused with, begun together in a thread each."""
    together, outcomes = threading.Barrier(len(acts)), [None] * len(acts)

    def run(place, act):
        together.wait()
        try:
            outcomes[place] = act()
        except BookError as error:
            outcomes[place] = error

    threads = [threading.Thread(target=run, args=given) for given in enumerate(acts)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return outcomes


def refusals(outcomes):
    """Those that were refused."""
    return [one for one in outcomes if isinstance(one, BookError)]


@pytest.mark.parametrize("trials", TRIALS)
def test_one_of_two_edits_of_one_revision_is_kept(servers, trials):
    """Two people change another field each of the same revision: one is kept, the other one is refused and told."""
    first, second = servers
    first.keep("c", case(), who="OB7", why="entered")
    for trial in range(trials):
        base, held = first.revision("c"), first.open("c")
        title, plant = (
            dataclasses.replace(held, title=f"Title {trial}"),
            dataclasses.replace(held, plant=f"Plant {trial}"),
        )
        outcomes = at_once(
            partial(first.keep, "c", title, who="A", why="title", base=base),
            partial(second.keep, "c", plant, who="B", why="plant", base=base),
        )
        now = first.open("c")
        acknowledged = [not isinstance(one, BookError) for one in outcomes]
        assert [now.title == title.title, now.plant == plant.plant] == acknowledged, trial
        assert [type(one) for one in refusals(outcomes)] == [BookError] and "changed" in str(refusals(outcomes)[0])


@pytest.mark.slow
@pytest.mark.parametrize("trials", TRIALS)
def test_a_study_stays_as_it_was_signed(servers, trials):
    """Presses that race a signature: what the study held when it returned is what it holds, none acknowledged lost."""
    first, second = servers
    for trial in range(trials):
        name = f"c{trial}"
        first.keep(name, case(study(readings=Readings())), who="OB7", why="entered")

        def sign(name=name):
            while not any(first.presses(name, "S1").values()):
                pass
            first.sign(name, "S1", who="OB7")
            return contents(first, name, "S1")

        signed, *taken = at_once(sign, *(partial(press_on, second, name, d) for d in ("d1", "d2", "d3")))
        assert signed == contents(first, name, "S1") == (sum(taken), 0), trial


def press_on(book, name, device):
    """Press until the study is signed; how many presses were acknowledged."""
    for seq in range(1, 1000):
        try:
            book.take(name, "S1", device, [Press(seq=seq, kind="end", clock_s=seq, wall_ms=seq, element="set")])
        except BookError as error:
            assert "signed by" in str(error)
            return seq - 1
        time.sleep(0.001)
    raise AssertionError("never signed")


@pytest.mark.parametrize("trials", TRIALS)
def test_no_correction_after_the_signature(servers, trials):
    """A correction that races a signature is there when that returns, or it is refused."""
    first, second = servers
    for trial in range(trials):
        name = f"c{trial}"
        first.keep(name, case(), who="OB7", why="entered")

        def sign(name=name):
            first.sign(name, "S1", who="OB7")
            return contents(first, name, "S1")

        signed, corrected = at_once(sign, partial(second.correct, name, "S1", CORRECTION))
        kept = 0 if isinstance(corrected, BookError) else 1
        assert signed == contents(first, name, "S1") == (0, kept), trial


def contents(book, name, code):
    """Number of presses and of corrections of a study."""
    found = {one.study: one for one in book.open(name).studies}[code]
    return sum(map(len, book.presses(name, code).values())), len(found.corrections)


@pytest.mark.parametrize("trials", TRIALS)
def test_undo_and_edit_of_one_revision_exclude_each_other(servers, trials):
    """Either the edit was refused, or it holds; an undo takes back what was shown, or is refused."""
    first, second = servers
    first.keep("c", case(), who="OB7", why="entered")
    for trial in range(trials):
        first.keep("c", dataclasses.replace(first.open("c"), title=f"Title {trial}"), who="OB7", why="title")
        base, held = first.revision("c"), first.open("c")
        edit, undo = at_once(
            partial(first.keep, "c", dataclasses.replace(held, plant=f"Plant {trial}"), who="A", why="p", base=base),
            partial(second.undo, "c", who="B", base=base),
        )
        now = first.open("c")
        assert len(refusals([edit, undo])) == 1, trial
        kept = not isinstance(edit, BookError)
        assert (now.plant == f"Plant {trial}", now.title == f"Title {trial}") == (kept, kept), trial


@pytest.mark.parametrize("trials", TRIALS)
def test_a_new_case_is_begun_once(servers, trials):
    """Two people begin a case of the same name: one of them does, the other one is told."""
    first, second = servers
    for trial in range(trials):
        outcomes = at_once(
            partial(first.keep, f"n{trial}", case(title="A"), who="A", why="begun", base=0),
            partial(second.keep, f"n{trial}", case(title="B"), who="B", why="begun", base=0),
        )
        assert len(refusals(outcomes)) == 1 and "somebody else" in str(refusals(outcomes)[0]), trial
        kept = "A" if outcomes[0] == 1 else "B"
        assert (first.open(f"n{trial}").title, first.revision(f"n{trial}")) == (kept, 1), trial


@pytest.mark.parametrize("trials", TRIALS)
def test_a_deleted_code_is_not_brought_back(servers, trials):
    """A case that was opened before a code was deleted, and is kept while or after, does not bring the code back."""
    first, second = servers
    for trial in range(trials):
        name = f"c{trial}"
        first.keep(name, case(study(operator="ZQX9")), who="OB7", why="entered")
        base, held = first.revision(name), first.open(name)
        at_once(
            partial(first.keep, name, dataclasses.replace(held, plant="P"), who="A", why="plant", base=base),
            partial(second.forget, "ZQX9"),
        )
        assert first.open(name).studies[0].operator == "removed", trial


@pytest.mark.parametrize("trials", TRIALS)
def test_each_typed_reading_is_stored_once(servers, trials):
    """Two imports of one case at once, and a text remembered under one name: neither is refused nor doubled."""
    first, second = servers
    first.keep("c", case(study(readings=Readings())), who="OB7", why="entered")
    for trial in range(trials):
        outcomes = at_once(
            partial(first.keep, "c", case(title=f"A {trial}"), who="A", why="import"),
            partial(second.keep, "c", case(title=f"B {trial}"), who="B", why="import"),
            partial(first.remember, "heads", f"A {trial}"),
            partial(second.remember, "heads", f"B {trial}"),
        )
        assert not refusals(outcomes), trial
        assert first.mapping("heads") in (f"A {trial}", f"B {trial}")
        assert first.open("c").studies[0].readings == study().readings


def test_servers_that_start_together_make_one_book(url):
    """Three servers open an empty database at the same moment: none is refused, and all work on the same tables."""
    opened = at_once(*(partial(Book, url) for _ in range(3)))
    assert not refusals(opened)
    opened[0].keep("c", case(), who="OB7", why="entered")
    assert [book.open("c") for book in opened] == [case()] * 3
    for book in opened:
        book.close()


@pytest.mark.parametrize("trials", TRIALS)
def test_no_press_after_its_study_was_removed(servers, trials):
    """Presses that race the removal of their study: none is acknowledged once that returned."""
    first, second = servers
    both = case(study(), study("S2", readings=Readings()))
    for trial in range(trials):
        name = f"c{trial}"
        first.keep(name, both, who="OB7", why="entered")

        def remove(name=name):
            first.keep(name, case(), who="OB7", why="removed")
            return len(first.presses(name, "S2").get("d1", ()))

        def press(name=name):
            for seq in range(1, 1000):
                one = Press(seq=seq, kind="end", clock_s=seq, wall_ms=seq, element="set")
                time.sleep(0.001)  # SQLite has no queue: without a pause the other one may wait for very long
                try:
                    second.take(name, "S2", "d1", [one])
                except BookError as error:
                    assert "study must be one of the case" in str(error)
                    return seq - 1
            raise AssertionError("never removed")

        removed, taken = at_once(remove, press)
        assert removed == taken == len(first.presses(name, "S2").get("d1", ())), trial
