"""Presses that do not fit their study: nothing is lost, nothing is blocked, and somebody decides about each."""

import random
from dataclasses import replace

import pytest
from book_cases import case, study

from coreset.case import Element, Method, Readings
from coreset.errors import BookError
from coreset.store import folder
from coreset.store.book.presses import BREAKPOINTS, KINDS, Press
from coreset.study.element_times import element_times
from coreset.study.time_balance import balance

HEAD = [("start", 0.0, 0, ""), ("first", 2.0, 0, ""), ("end", 5.0, 1, "fetch"), ("end", 9.0, 1, "set")]
METHOD = (Method(method="manual", title="By hand", steps=()),)


def pressed(*more):
    """A complete cycle and what came after it: kind, clock, cycle, element."""
    rows = enumerate([*HEAD, *more], start=1)
    return [
        Press(seq=seq, kind=kind, clock_s=clock, wall_ms=1e12 + 1000 * clock, cycle=cycle, element=name)
        for seq, (kind, clock, cycle, name) in rows
    ]


def timed(book, presses, timing="continuous", **fields):
    """The study of a case that was timed so."""
    given = study(readings=Readings(), timing=timing, **fields)
    book.keep("c", case(given, methods=METHOD), who="OB7", why="entered")
    book.take("c", "S1", "d1", presses)
    return book.open("c").studies[0]


def good_times(found):
    """Element and time of each good reading."""
    times = element_times(found)
    names = [element.name for element in found.elements]
    return [(names[e], round(s, 6)) for e, s in zip(times.element[times.good], times.seconds[times.good], strict=True)]


@pytest.mark.parametrize("timing", ["continuous", "snapback"])
@pytest.mark.parametrize(("name", "shown"), [("ghost", "ghost"), ("", "no name"), (" ", "no name")])
def test_an_unknown_name_is_set_apart_with_its_time(book, timing, name, shown):
    """Its time is foreign time of that name; the times around it are what they were; the press is as it was taken."""
    presses = pressed(("end", 12.0, 2, name), ("end", 16.0, 2, "set"), ("stop", 17.0, 0, ""))
    found = timed(book, presses, timing)
    assert good_times(found) == [("fetch", 3.0), ("set", 4.0), ("set", 4.0)]
    odd = list(found.readings)[2]
    assert (odd.element, odd.mark, odd.note) == (shown, "foreign", f"set apart: pressed as {shown}")
    assert balance(found, element_times(found)).ineffective_s == pytest.approx(3.0)
    assert [(a.device, a.seq, a.element, a.decision) for a in book.apart("c", "S1")] == [("d1", 5, name, None)]
    assert book.presses("c", "S1")["d1"] == presses


@pytest.mark.parametrize("timing", ["continuous", "snapback"])
def test_an_element_that_foreign_time_cut_is_set_apart_whole(book, timing):
    """The part before foreign time does not go to the element that comes after."""
    more = [("split", 10.0, 2, "ghost"), ("foreign", 12.0, 2, "foreign"), ("end", 13.0, 2, "ghost")]
    found = timed(book, pressed(*more, ("end", 16.0, 2, "set"), ("stop", 17.0, 0, "")), timing)
    assert good_times(found) == [("fetch", 3.0), ("set", 4.0), ("set", 3.0)]
    assert [r.element for r in found.readings][2:] == ["ghost", "foreign", "ghost", "set"]


def test_a_missed_breakpoint_of_an_unknown_name_spoils_what_follows_it(book):
    """The element after a breakpoint that was not read has no good time."""
    found = timed(book, pressed(("missed", 12.0, 2, "ghost"), ("end", 16.0, 2, "set"), ("end", 18.0, 3, "fetch")))
    assert good_times(found) == [("fetch", 3.0), ("set", 4.0), ("fetch", 2.0)]
    assert len(book.apart("c", "S1")) == 1


@pytest.mark.parametrize(
    ("more", "reason"),
    [
        ([("stop", 10.0, 0, ""), ("end", 12.0, 2, "fetch")], "after the clock was stopped"),
        ([("end", 7.0, 2, "fetch"), ("stop", 10.0, 0, "")], "earlier on the clock"),
    ],
)
def test_a_press_that_cannot_be_in_time_is_told_by_the_clock(book, more, reason):
    """After the stop, or earlier than the press before it: no reading, but named with the remarks of the clock."""
    found = timed(book, pressed(*more))
    assert good_times(found) == [("fetch", 3.0), ("set", 4.0)]
    assert reason in found.clock_trouble
    assert "fetch" in found.clock_trouble
    (one,) = book.apart("c", "S1")
    assert reason in one.reason


def test_a_press_is_assigned_or_excluded_and_the_trail_says_so(book):
    """The last decision holds; a later name of the element is followed; other codes are refused."""
    timed(book, pressed(("end", 12.0, 2, "ghost"), ("end", 16.0, 2, "set"), ("stop", 17.0, 0, "")))
    by = {"who": "ED1", "why": "it was renamed"}
    for place, action, element, words in (
        (("d1", 5), "assign", "none", "assigned to one of fetch, set"),
        (("d1", 5), "forget", "", "excluded or assigned"),
        (("d1", 4), "assign", "fetch", "a press that is set apart"),
        (("d2", 5), "assign", "fetch", "a press that is set apart"),
    ):
        with pytest.raises(BookError, match=words):
            book.settle("c", "S1", place, action, element, **by)
    with pytest.raises(BookError, match="who and why"):
        book.settle("c", "S1", ("d1", 5), "assign", "fetch", who="ED1", why=" ")
    mark = book.stamp("c")
    book.settle("c", "S1", ("d1", 5), "set_apart", **by)
    assert "excluded by ED1" in book.open("c").studies[0].readings.note[2]
    assert book.stamp("c") != mark
    book.settle("c", "S1", ("d1", 5), "assign", "fetch", **by)
    opened = book.open("c")
    now = opened.studies[0]
    assert good_times(now) == [("fetch", 3.0), ("set", 4.0), ("fetch", 3.0), ("set", 4.0)]
    assert now.readings.note[2] == "assigned by ED1: pressed as ghost; it was renamed"
    assert now.corrections == ()
    lifted = (Element(name="lift", earlier=("fetch",)), now.elements[1])
    book.keep("c", replace(opened, studies=(replace(now, elements=lifted),)), who="ED1", why="a better name")
    assert good_times(book.open("c").studies[0])[2] == ("lift", 3.0)


def test_a_name_given_to_an_element_fits_every_press_of_it(book):
    """An earlier name of an element, or a new element, makes its presses fit: nothing is set apart any more."""
    timed(book, pressed(("end", 12.0, 2, "ghost"), ("end", 16.0, 2, "set"), ("end", 19.0, 3, "ghost")))
    opened = book.open("c")
    now = opened.studies[0]
    named = (replace(now.elements[0], earlier=("ghost",)), now.elements[1])
    book.keep("c", replace(opened, studies=(replace(now, elements=named),)), who="ED1", why="the same")
    assert book.apart("c", "S1") == []
    assert [name for name, _ in good_times(book.open("c").studies[0])] == ["fetch", "set", "fetch", "set", "fetch"]


def test_a_signed_study_takes_no_decision_and_a_new_version_has_it(book):
    """Decisions are locked with the study, and copied with its presses."""
    timed(book, pressed(("end", 12.0, 2, "ghost"), ("end", 13.0, 2, "ghost"), ("stop", 17.0, 0, "")))
    book.settle("c", "S1", ("d1", 5), "assign", "fetch", who="ED1", why="seen")
    book.sign("c", "S1", who="AP1")
    with pytest.raises(BookError, match="signed"):
        book.settle("c", "S1", ("d1", 6), "assign", "set", who="ED1", why="seen")
    new = book.new_version("c", "S1", who="AP1", why="one more")
    assert [one.decision is None for one in book.apart("c", new)] == [False, True]
    assert book.forget("ED1") > 0
    assert book.apart("c", new)[0].decision.who == "removed"


def test_readings_after_the_signature_are_held_apart_and_taken_in(book):
    """The signed study stays as it was; in its new version the session is taken in whole, by whom and why."""
    more = [("end", 12.0, 2, "fetch"), ("end", 16.0, 2, "set"), ("end", 19.0, 3, "fetch"), ("stop", 20.0, 0, "")]
    presses = pressed(*more)
    timed(book, presses[:4])
    with pytest.raises(BookError, match="must be signed"):
        book.take_late("c", "S1", "d1", presses[4:])
    book.sign("c", "S1", who="AP1")
    signed = book.open("c")
    assert book.take_late("c", "S1", "d1", presses[:6]), "four of them were stored before"
    assert book.take_late("c", "S1", "d1", presses[4:]) and book.take_late("c", "S1", "d2", presses[:3])
    assert book.open("c") == signed and book.presses("c", "S1") == {"d1": presses[:4]}
    by = {"who": "ED1", "why": "she was still timing"}
    with pytest.raises(BookError, match="signed"):
        book.settle("c", "S1", ("d1@late", 8), "take_in", **by)
    new = book.new_version("c", "S1", who="AP1", why="late readings")
    assert [(a.device, a.seq, a.late, a.decision) for a in book.apart("c", new)] == [
        ("d1@late", 8, 4, None),
        ("d2@late", 3, 3, None),
    ]
    assert book.apart("c") == [], "they stand with the new version, not with a removed study"
    for action, element in (("assign", "fetch"), ("none", "")):
        with pytest.raises(BookError, match="taken in or excluded"):
            book.settle("c", new, ("d1@late", 8), action, element, **by)
    book.settle("c", new, ("d2@late", 3), "set_apart", **by)
    book.settle("c", new, ("d1@late", 8), "take_in", **by)
    book.settle("c", new, ("d2@late", 3), "set_apart", **by)
    (left,) = book.apart("c", new)
    assert (left.device, left.decision.action, left.decision.who) == ("d2@late", "set_apart", "ED1")
    now = book.open("c").studies[0]
    assert good_times(now) == [("fetch", 3.0), ("set", 4.0), ("fetch", 3.0), ("set", 4.0), ("fetch", 3.0)]
    assert now.readings.note[2] == "after the signature; taken in by ED1: she was still timing"
    assert now.corrections == () and now.clock_out
    assert book.take_late("c", "S1", "d2", presses[3:5]), "its clock still names the signed study"
    (left,) = book.apart("c", new)
    assert (left.seq, left.late, left.decision) == (5, 5, None), "more came than was excluded"


def test_readings_of_a_removed_study_are_held_apart_and_taken_into_another(book):
    """Nothing of the session is lost: it is listed under the study's name, and taken whole into a study of the case."""
    presses = pressed(("end", 12.0, 2, "fetch"), ("end", 16.0, 2, "set"), ("stop", 17.0, 0, ""))
    timed(book, presses[:4])
    whole = book.open("c")
    book.keep("c", replace(whole, studies=()), who="ED1", why="entered twice")
    with pytest.raises(BookError, match="must be one of the case"):
        book.take("c", "S1", "d1", presses[4:])
    assert not book.take_late("c", "S7", "d1", presses[4:]), "never was a study of the case"
    assert book.take_late("c", "S1", "d1", presses[4:]) and book.take_late("c", "S1", "d2", presses[:2])
    one, other = book.apart("c")
    assert [(a.study, a.device, a.seq, a.late) for a in (one, other)] == [
        ("S1", "d1@late", 7, 3), ("S1", "d2@late", 2, 2),
    ]  # fmt: skip
    by = {"who": "ED1", "why": "timed on the old tablet"}
    with pytest.raises(BookError, match="must be one of the case"):
        book.settle("c", "S1", (one.device, one.seq), "take_in", "S2", **by)
    assert len(book.apart("c")) == 2, "a decision that was refused left nothing"
    book.keep("c", replace(whole, studies=(study("S2", readings=Readings()),)), who="ED1", why="begun anew")
    with pytest.raises(BookError, match="taken in or excluded"):
        book.settle("c", "S1", (one.device, one.seq), "assign", "S2", **by)
    book.settle("c", "S1", (one.device, one.seq), "take_in", "S2", **by)
    book.settle("c", "S1", (other.device, other.seq), "set_apart", **by)
    (left,) = book.apart("c")
    assert (left.device, left.decision.action, left.decision.who) == ("d2@late", "set_apart", "ED1")
    with pytest.raises(BookError, match="none: somebody"):
        book.settle("c", "S1", (one.device, one.seq), "take_in", "S2", **by)
    now = book.open("c").studies[0]
    assert good_times(now) == [("fetch", 3.0), ("set", 4.0), ("fetch", 3.0), ("set", 4.0)] and now.clock_out
    assert [p.seq for p in book.presses("c", "S2")["d1"]] == [p.seq for p in presses]
    assert "came for study S1, which was removed; taken in by ED1" in book.presses("c", "S2")["d1"][0].note


@pytest.mark.parametrize("count", [25, pytest.param(600, marks=[pytest.mark.slow, pytest.mark.long])])
@pytest.mark.parametrize("timing", ["continuous", "snapback"])
def test_whatever_is_pressed_the_case_is_read_and_exported(book, tmp_path, timing, count):
    """Sessions of presses at random: each case is read, balanced, written as a folder and read again alike."""
    drawn = random.Random(timing)
    given = case(study(readings=Readings(), timing=timing), methods=METHOD)
    for number in range(count):
        name = f"c{number}"
        book.keep(name, given, who="OB7", why="entered")
        book.take(name, "S1", "d1", [any_press(drawn, seq) for seq in range(1, drawn.randint(2, 13))])
        opened = book.open(name)
        for one in opened.studies:
            balance(one, element_times(one))
        told = len(opened.studies[0].readings) + opened.studies[0].clock_trouble.count("was set apart")
        raw = book.presses(name, "S1")["d1"]
        struck = {p.target for p in raw if p.kind == "strike"}
        held = [p for p in raw if p.kind in BREAKPOINTS and p.seq not in struck]
        assert told <= len(held)
        if number % 20 == 0:
            folder.write(opened, tmp_path / name)
            again = folder.read(tmp_path / name).studies[0]
            assert again.readings.note == opened.studies[0].readings.note
            assert again.readings.element == opened.studies[0].readings.element
            assert again.clock_trouble == opened.studies[0].clock_trouble


def any_press(drawn, seq):
    """A press of any kind at any time under any name."""
    kind = drawn.choice([*KINDS, *BREAKPOINTS, "end", "end"])
    clock = drawn.choice([seq * 2.0, seq * 2.0, seq * 2.0, drawn.uniform(0, 30)])
    target = drawn.randint(1, 12) if kind in ("strike", "rate", "note") else None
    rating = 100.0 if kind == "rate" else None
    name = drawn.choice(["fetch", "set", "set", "ghost", "", "foreign"])
    return Press(
        seq=seq, kind=kind, clock_s=clock, wall_ms=1e12, cycle=drawn.randint(0, 3), element=name, rating=rating,
        target=target, note="",
    )  # fmt: skip
