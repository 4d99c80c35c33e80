"""A signature covers the content: it survives an export, and any value changed outside the database breaks it."""

import dataclasses

import pytest
from book_cases import CORRECTION, case, sitting, study
from typer.testing import CliRunner

from coreset.case import Readings
from coreset.case.signature import signature_state, signed_content, signer
from coreset.cli.command import app
from coreset.errors import BookError
from coreset.store import folder
from coreset.store.book import Book
from coreset.study.report.timing import signatures, standing

run = CliRunner().invoke


@pytest.fixture
def signed(tmp_path):
    """A database with a typed and a clocked study, both signed, the second with two sessions."""
    book = Book(f"sqlite:///{tmp_path / 'book.sqlite'}")
    book.keep("c", case(study(), study("S2", readings=Readings())), who="OB7", why="entered")
    book.correct("c", "S1", CORRECTION)
    for device, start in (("d1", 1_000_000.0), ("d2", 2_000_000.0)):
        book.take("c", "S2", device, sitting(start_ms=start))
    for code in ("S1", "S2"):
        book.sign("c", code, who="AP1")
    yield book
    book.close()


def states(found):
    """State of each signature of a case."""
    return {one.study: signature_state(one) for one in found.studies}


def test_the_report_says_which_studies_are_signed(signed):
    """How many, which are not, and which no longer hold what was signed."""
    one, *others = signed.open("c").studies
    assert signatures([one, *others]) == ("3 of 3 studies are signed.",)
    changed = dataclasses.replace(others[0], operator="other")
    bare = dataclasses.replace(others[1], signed="")
    assert signatures([one, changed, bare]) == (
        "2 of 3 studies are signed.", f"Not signed: {bare.study}.", f"Changed since the signature: {changed.study}.",
    )  # fmt: skip


VALID = {"S1": "valid", "S2": "valid", "S2.2": "valid"}


def test_a_signature_survives_the_way_out_and_in(signed, tmp_path):
    """Exported, read, brought into another database and exported again: valid, with its code and time."""
    assert states(signed.open("c")) == VALID
    folder.write(signed.open("c"), tmp_path / "out")
    other = Book(f"sqlite:///{tmp_path / 'other.sqlite'}")
    other.keep("c", folder.read(tmp_path / "out"), who="OB7", why="import")
    assert states(other.open("c")) == VALID
    assert {one.signed for one in other.open("c").studies} == {one.signed for one in signed.open("c").studies}
    other.close()


@pytest.mark.parametrize(
    ("file", "old", "new"),
    [
        ("S1.csv", "10.5", "10.6"),
        ("S1.csv", "tight", "loose"),
        ("S2.2.csv", "11.0", "12.0"),
        ("S1.toml", '"P1"', '"P1"\ncrew = 2.0'),
        ("S1.corrections.csv", "OB7", "OB8"),
    ],
)
def test_one_digit_changed_shows(signed, tmp_path, file, old, new):
    """Told by check and import, shown on the page and among the warnings of the answer; the others stay valid."""
    folder.write(signed.open("c"), tmp_path / "out")
    path = tmp_path / "out" / "times" / file
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    code = file.removesuffix(".csv").removesuffix(".toml").removesuffix(".corrections")
    url = f"sqlite:///{tmp_path / 'other.sqlite'}"
    for words in (["check"], ["import", "--book", url]):
        answer = run(app, [*words, str(tmp_path / "out")])
        assert answer.exit_code == 0 and answer.stderr.count("not what was signed") == 1 and repr(code) in answer.stderr
    other = Book(url)
    found = {one.study: one for one in other.open("out").studies}
    assert states(other.open("out")) == VALID | {code: "broken"}
    assert "not what was signed" in standing(found[code]) and "sha256" not in standing(found["S1"])
    other.close()


def test_a_row_added_past_the_program_breaks_it(signed):
    """A session that came after the signature is not covered by it."""
    with signed._changing() as connection:
        from sqlalchemy import text

        connection.execute(text("update sitting set device = 'd0' where device = 'd1'"))
        connection.execute(text("update reading set device = 'd0', clock_s = clock_s + 0.5 where device = 'd1'"))
    assert states(signed.open("c")) == VALID | {"S2": "broken"}


def test_a_signed_study_can_be_superseded(signed):
    """What the register says may change after the signature, which stays valid; nothing else of the header may."""
    now = signed.open("c")
    one, *others = now.studies
    later = dataclasses.replace(one, status="superseded", superseded_by="S2", status_reason="another layout")
    signed.keep("c", dataclasses.replace(now, studies=(later, *others)), who="OB7", why="register")
    assert signed.open("c").studies[0].status == "superseded" and states(signed.open("c")) == VALID
    with pytest.raises(BookError, match="must be open to be changed"):
        changed = dataclasses.replace(later, conditions="hot")
        signed.keep("c", dataclasses.replace(now, studies=(changed, *others)), who="OB7", why="conditions")
    signed.undo("c", who="OB7")
    assert signed.open("c").studies[0].status == "current"


def test_a_signature_of_an_earlier_version_proves_nothing(signed, tmp_path):
    """Without a hash it is kept, and said to be unproven."""
    (one, *others) = signed.open("c").studies
    older = dataclasses.replace(one, signed=signer(one.signed))
    folder.write(dataclasses.replace(signed.open("c"), studies=(older, *others)), tmp_path / "out")
    other = Book(f"sqlite:///{tmp_path / 'other.sqlite'}")
    other.keep("c", folder.read(tmp_path / "out"), who="OB7", why="import")
    assert states(other.open("c")) == VALID | {"S1": "unproven"}
    assert "without a hash" in standing(older) and other.signed("c", "S1") == older.signed
    other.close()


def test_a_deleted_code_leaves_a_valid_signature_valid(signed):
    """The hash is written anew; one that was broken before stays broken."""
    with signed._changing() as connection:
        from sqlalchemy import text

        connection.execute(text("update reading set clock_s = 11 where study = 'S1' and seq = 2"))
    before = {one.study: signed_content(one.signed) for one in signed.open("c").studies}
    assert signed.forget("OB7") > 0
    after = signed.open("c")
    assert states(after) == VALID | {"S1": "broken"}
    assert all(signed_content(one.signed) != before[one.study] for one in after.studies if one.study != "S1")
