"""Corrections and signatures: new rows beside what was taken, and a lock on all sittings of a study."""

import dataclasses

import pytest
from book_cases import CORRECTION, case, sitting, study

from coreset.case import Readings
from coreset.errors import BookError
from coreset.store.book.presses import Press


def test_a_correction_is_a_new_row(kept):
    """The reading stays; the correction stands beside it with who, when and why."""
    kept.correct("c", "S1", CORRECTION)
    found = kept.open("c").studies[0]
    assert found.corrections == (CORRECTION,)
    assert found.readings == study().readings
    kept.keep("c", kept.open("c"), who="OB7", why="as opened")
    assert kept.open("c").studies[0].corrections == (CORRECTION,)


def test_a_correction_of_no_reading_is_refused(kept):
    """A correction must concern a reading that is there."""
    with pytest.raises(BookError, match="must concern a reading"):
        kept.correct("c", "S1", dataclasses.replace(CORRECTION, seq=99))


def test_a_signed_study_takes_no_more_changes(kept):
    """Correction, press, reading, header: each is refused after signing, with the signature named."""
    kept.sign("c", "S1", who="AP1")
    assert kept.open("c").studies[0].signed.startswith("AP1 20")
    changes = [
        lambda: kept.correct("c", "S1", CORRECTION),
        lambda: kept.take("c", "S1", "d1", [Press(seq=1, kind="start", clock_s=0, wall_ms=0)]),
        lambda: kept.keep("c", case(study(note="better")), who="OB7", why="note"),
        lambda: kept.keep("c", case(study(corrections=(CORRECTION,))), who="OB7", why="exclude"),
        lambda: kept.sign("c", "S1", who="AP2"),
    ]
    for change in changes:
        with pytest.raises(BookError, match=r"'S1' must be open to be changed, got one signed by AP1"):
            change()
    kept.keep("c", dataclasses.replace(kept.open("c"), title="Two"), who="OB7", why="something else")


@pytest.mark.parametrize("code", ["\u0410P1", "AP1\u200b"])
def test_a_signature_reads_as_nobody_elses(kept, code):
    """A Cyrillic letter among Latin ones, or a character that is not seen, makes a code that reads as AP1."""
    with pytest.raises(BookError, match="a signature must have a code"):
        kept.sign("c", "S1", who=code)
    assert kept.signed("c", "S1") == ""


def test_the_place_of_a_signed_study_in_the_register_may_change(kept):
    """Superseded, or withdrawn with a reason: what the signature does not cover; undone as any edit."""
    kept.sign("c", "S1", who="AP1")
    before = kept.open("c")
    signed = before.studies[0]
    withdrawn = dataclasses.replace(signed, status="withdrawn", status_reason="wrong cores")
    kept.keep("c", dataclasses.replace(before, studies=(withdrawn, *before.studies[1:])), who="AP1", why="register")
    assert kept.open("c").studies[0] == withdrawn
    kept.undo("c", who="AP1")
    assert kept.open("c") == before


def test_a_new_version_opens_from_a_signed_study(kept):
    """The copy takes the place of the signed one, and can be changed; the signed one stays in the book."""
    kept.correct("c", "S1", CORRECTION)
    kept.sign("c", "S1", who="AP1")
    assert kept.new_version("c", "S1", who="OB7", why="re-rated") == "S1-v2"
    (new,) = kept.open("c").studies
    assert (new.study, new.signed, new.readings, new.corrections) == ("S1-v2", "", study().readings, (CORRECTION,))
    kept.correct("c", "S1-v2", dataclasses.replace(CORRECTION, seq=4))
    (old,) = kept.open("c", revision=1).studies
    assert old.signed.startswith("AP1") and old.corrections == (CORRECTION,)


def two_sittings(book):
    """A study that two devices timed, the first reading of the second excluded."""
    book.keep("c", case(study(readings=Readings()), study("S7")), who="OB7", why="entered")
    book.take("c", "S1", "d1", sitting())
    book.take("c", "S1", "d2", sitting(start_ms=2_000_000.0)[:5])
    book.correct("c", "S1.2", dataclasses.replace(CORRECTION, seq=3))


@pytest.mark.parametrize("signed", ["S1", "S1.2"])
def test_a_signature_on_any_sitting_locks_the_whole_study(book, signed):
    """No press on any device, known or new, no correction on any sitting, no header, no second signature."""
    two_sittings(book)
    book.sign("c", signed, who="AP1")
    opened = book.open("c")
    assert [s.signed.partition(" ")[0] for s in opened.studies] == ["AP1", "AP1", ""]
    later = [Press(seq=20, kind="end", clock_s=30.0, wall_ms=1.0, cycle=3, element="set")]
    header = tuple(dataclasses.replace(s, layout="other") if s.study == "S1" else s for s in opened.studies)
    more = tuple(
        dataclasses.replace(s, corrections=(*s.corrections, dataclasses.replace(CORRECTION, seq=4)))
        if s.study == "S1.2" else s for s in opened.studies
    )  # fmt: skip
    changes = [
        *(lambda device=device: book.take("c", "S1", device, later) for device in ("d1", "d2", "d3")),
        *(lambda code=code: book.correct("c", code, dataclasses.replace(CORRECTION, seq=4)) for code in ("S1", "S1.2")),
        lambda: book.keep("c", dataclasses.replace(opened, studies=header), who="OB7", why="header"),
        lambda: book.keep("c", dataclasses.replace(opened, studies=more), who="OB7", why="exclude"),
        *(lambda code=code: book.sign("c", code, who="AP2") for code in ("S1", "S1.2")),
    ]
    for change in changes:
        with pytest.raises(BookError, match="study 'S1' must be open to be changed, got one signed by AP1"):
            change()
    assert book.open("c") == opened
    book.correct("c", "S7", CORRECTION)
    book.keep("c", dataclasses.replace(book.open("c"), title="Two"), who="OB7", why="something else")


@pytest.mark.parametrize("of", ["S1", "S1.2"])
def test_a_new_version_has_every_sitting(book, of):
    """Opened from any sitting, it has the presses and corrections of all, takes more, and leaves the signed one."""
    two_sittings(book)
    book.sign("c", "S1.2", who="AP1")
    signed = book.open("c")
    revision = book.revision("c")
    assert book.new_version("c", of, who="OB7", why="re-rated") == "S1-v2"
    new = book.open("c").studies
    assert [(s.study, s.signed, len(s.readings), len(s.corrections)) for s in new] == [
        ("S1-v2", "", 6, 0), ("S1-v2.2", "", 3, 1), ("S7", "", 4, 0)]  # fmt: skip
    assert (new[0].clock_in, new[0].taken_with) == (signed.studies[0].clock_in, "clock")
    book.take("c", "S1-v2", "d3", sitting())
    book.correct("c", "S1-v2.2", dataclasses.replace(CORRECTION, seq=4))
    assert [s.study for s in book.open("c").studies] == ["S1-v2", "S1-v2.2", "S1-v2.3", "S7"]
    assert book.open("c", revision=revision) == signed
    with pytest.raises(BookError, match="signed by AP1"):
        book.take("c", "S1", "d1", [Press(seq=20, kind="end", clock_s=30.0, wall_ms=1.0)])


def test_undo_does_not_reach_under_a_signature(book):
    """What was changed before the signature cannot be taken back after it; what concerns other things can."""
    book.keep("c", case(study()), who="OB7", why="entered")
    book.keep("c", case(study(layout="rack left")), who="OB7", why="layout")
    book.sign("c", "S1", who="AP1")
    with pytest.raises(BookError, match="signed by AP1"):
        book.undo("c", who="OB7")
    book.keep("c", dataclasses.replace(book.open("c"), title="Two"), who="OB7", why="title")
    book.undo("c", who="OB7")
    assert book.open("c").title == case().title and book.open("c").studies[0].layout == "rack left"


@pytest.mark.parametrize("field", ["date", "clock_in", "clock_out", "origin"])
def test_times_of_a_typed_study_are_locked_too(book, field):
    """What a clock would fill in is part of the header of a study that was typed."""
    book.keep("c", case(study()), who="OB7", why="entered")
    book.sign("c", "S1", who="AP1")
    with pytest.raises(BookError, match="signed by AP1"):
        book.keep("c", case(study(**{field: "9:00"})), who="OB7", why="time")


@pytest.mark.parametrize(
    ("action", "value", "message"),
    [
        ("relabel", "no such", "new label must be one of fetch, set"),
        ("rerate", "-5", "above 0"),
        ("rerate", "x", "above 0"),
    ],
)
def test_a_correction_to_what_cannot_be_is_refused(kept, action, value, message):
    """A label is an element of the study, a rating a number above nought."""
    with pytest.raises(BookError, match=message):
        kept.correct("c", "S1", dataclasses.replace(CORRECTION, action=action, value=value))


def test_a_correction_made_again_within_a_second_holds(kept):
    """Excluded, restored and excluded again in one second of the clock: excluded; the same one sent twice is one."""
    restored = dataclasses.replace(CORRECTION, action="restore")
    for made in (CORRECTION, CORRECTION, restored, CORRECTION):
        kept.correct("c", "S1", made)
    found = kept.open("c")
    assert [one.action for one in found.studies[0].corrections] == ["exclude", "restore", "exclude"]
    kept.keep("c", found, who="OB7", why="as opened")
    kept.keep("copy", found, who="OB7", why="import")
    for name in ("c", "copy"):
        assert kept.open(name).studies[0].corrections == found.studies[0].corrections
