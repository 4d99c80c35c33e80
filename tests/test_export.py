"""A case leaves the book by the command, as a folder or as one archive of that folder, and comes back equal."""

import re
import zipfile
from dataclasses import replace

import pytest
from book_cases import case, study

from coreset.case import Correction, Readings
from coreset.case.signature import signed_content
from coreset.cli.command import main
from coreset.store import folder
from coreset.store.book import Book
from coreset.store.book.presses import Press
from coreset.web.shelf import demo_folder


def exit_of(*words):
    """Run the command; the code it ends with."""
    try:
        return main(list(words))
    except SystemExit as ended:
        return ended.code


def test_a_case_of_the_book_goes_through_an_archive_and_back(tmp_path):
    """Book -> ZIP -> folder -> case, nothing lost but what it says; the archive is one folder, and import takes it."""
    url = f"sqlite:///{tmp_path / 'book.sqlite'}"
    case = folder.read(demo_folder())
    book = Book(url)
    book.keep("demo", case, who="T1", why="test")
    book.close()
    assert exit_of("export", "demo", str(tmp_path / "out.zip"), "--book", url) == 0
    with zipfile.ZipFile(tmp_path / "out.zip") as pack:
        assert {name.partition("/")[0] for name in pack.namelist()} == {"out"}
        pack.extractall(tmp_path)
    assert folder.read(tmp_path / "out") == case
    other = f"sqlite:///{tmp_path / 'other.sqlite'}"
    assert exit_of("import", str(tmp_path / "out"), "--book", other, "--quiet") == 0
    back = Book(other)
    assert back.open("out") == case
    back.close()


@pytest.mark.parametrize("out", ["out", "out.zip"])
def test_an_export_says_what_stays_in_the_database(tmp_path, capsys, out):
    """Corrections and a signature with its hash come along; counted by hand are what does not.

    Two changes, five presses of a clock on a study, one that came after its signature, one on a study that was taken
    out since, and one study taken from a video; a reading that was typed is none of them.
    """
    url = f"sqlite:///{tmp_path / 'book.sqlite'}"
    book = Book(url)
    typed, gone = study("S1"), study("S2", readings=Readings())
    film = study("S3", taken_with="video", readings=typed.readings)
    clock = study("S4", readings=Readings(), consent=True)
    book.keep("c", case(typed, gone, film, clock), who="OB1", why="begun")
    press = Press(seq=1, kind="start", clock_s=0.0, wall_ms=1.8e12)
    ends = [replace(press, seq=n, kind="first" if n == 2 else "end", clock_s=float(n)) for n in range(2, 6)]
    named = [replace(one, cycle=1, element=clock.elements[0].name) for one in ends]
    book.take("c", "S4", "tablet", (press, *named))
    book.take("c", "S2", "tablet", (press,))
    book.keep("c", case(typed, film, clock), who="OB1", why="S2 was for practice")
    row = typed.readings.seq[0]
    book.correct(
        "c", "S1", Correction(seq=int(row), action="exclude", who="OB1", when="2026-11-29T10:00:00+00:00", why="x")
    )
    book.sign("c", "S4", who="AP1")
    book.take_late("c", "S4", "tablet", (replace(press, seq=6, kind="stop", clock_s=9.0),))
    before = book.open("c")
    assert exit_of("export", "c", str(tmp_path / out), "--book", url) == 0
    said = capsys.readouterr().out
    counts = re.search(
        r"who and why \((\d+)\), presses of the clock as they came \((\d+)\), videos of studies \((\d+)\)", said
    )
    assert counts and counts.groups() == ("2", "7", "1"), said
    if out.endswith(".zip"):
        with zipfile.ZipFile(tmp_path / out) as pack:
            pack.extractall(tmp_path)
    again = folder.read(tmp_path / "out")
    by_code = {one.study: one for one in again.studies}
    assert again == before and len(by_code["S1"].corrections) == 1
    assert by_code["S4"].signed.startswith("AP1") and signed_content(by_code["S4"].signed)
    book.close()


def test_archive_and_folder_hold_the_same_files(tmp_path):
    """What the archive holds is byte for byte what the folder holds; the same case gives the same archive."""
    url = f"sqlite:///{tmp_path / 'book.sqlite'}"
    book = Book(url)
    book.keep("demo", folder.read(demo_folder()), who="T1", why="test")
    book.close()
    for out in ("c.zip", "again/c.zip", "c"):
        assert exit_of("export", "demo", str(tmp_path / out), "--book", url, "--quiet") == 0
    assert (tmp_path / "c.zip").read_bytes() == (tmp_path / "again" / "c.zip").read_bytes()
    with zipfile.ZipFile(tmp_path / "c.zip") as pack:
        packed = {name.partition("/")[2]: pack.read(name) for name in pack.namelist()}
    root = tmp_path / "c"
    assert packed == {str(p.relative_to(root)): p.read_bytes() for p in root.rglob("*") if p.is_file()}


def test_an_archive_that_cannot_be_written_is_told(tmp_path, capsys):
    """A place that is a folder is refused in words, and nothing is left half-written."""
    url = f"sqlite:///{tmp_path / 'book.sqlite'}"
    book = Book(url)
    book.keep("demo", folder.read(demo_folder()), who="T1", why="test")
    book.close()
    (tmp_path / "out.zip").mkdir()
    assert exit_of("export", "demo", str(tmp_path / "out.zip"), "--book", url) != 0
    assert "out.zip" in capsys.readouterr().err
