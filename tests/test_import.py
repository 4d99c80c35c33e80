"""`coreset import`: a case that the database holds is never replaced by accident."""

import dataclasses
import sys

import pytest

from coreset.brief.case_status import empty_case
from coreset.cli.command import main
from coreset.store import folder
from coreset.store.book import Book


def run(*words):
    """Exit status of the command."""
    with pytest.raises(SystemExit) as ended:
        sys.exit(main(words))
    return ended.value.code


@pytest.fixture
def place(tmp_path):
    """Two plants' folders of one name, and the address of a database."""
    for plant in ("east", "west"):
        folder.write(empty_case(f"Line of plant {plant}"), tmp_path / plant / "line")
    return tmp_path, f"sqlite:///{tmp_path / 'book.sqlite'}"


def test_another_case_of_that_name_is_not_replaced(place, capsys):
    """A folder of the same name and another content is refused with status 2, and told what to do; nothing changes."""
    root, url = place
    assert run("import", str(root / "east" / "line"), "--book", url) == 0
    capsys.readouterr()
    assert run("import", str(root / "west" / "line"), "--book", url) == 2
    told = capsys.readouterr().err
    assert "--as" in told and "--replace" in told and "Line of plant east" in told
    book = Book(url)
    assert (book.open("line").title, book.revision("line")) == ("Line of plant east", 1)


def test_the_same_content_is_taken_as_done(place, capsys):
    """What the database holds to the last digit may be imported again: status 0, no new revision."""
    root, url = place
    for _ in range(2):
        assert run("import", str(root / "east" / "line"), "--book", url) == 0
    assert "Unchanged" in capsys.readouterr().out
    assert Book(url).revision("line") == 1


def test_a_changed_folder_needs_the_word(place):
    """The same folder, edited since, replaces its own case with --replace alone; the state before stays."""
    root, url = place
    source = root / "east" / "line"
    assert run("import", str(source), "--book", url) == 0
    folder.write(dataclasses.replace(folder.read(source), title="Edited"), source)
    assert run("import", str(source), "--book", url) == 2
    assert run("import", str(source), "--book", url, "--replace") == 0
    book = Book(url)
    assert (book.open("line").title, book.open("line", revision=1).title) == ("Edited", "Line of plant east")


def test_another_name(place, capsys):
    """--as takes a case in under a name of its own; one that is taken, or that no file can have, is refused."""
    root, url = place
    assert run("import", str(root / "east" / "line"), "--book", url) == 0
    assert run("import", str(root / "west" / "line"), "--book", url, "--as", "line west") == 0
    assert [row.case_id for row in Book(url).cases()] == ["line", "line west"]
    assert run("import", str(root / "west" / "line"), "--book", url, "--as", "line") == 2
    capsys.readouterr()
    for name in ("../line", "LINE"):
        assert run("import", str(root / "west" / "line"), "--book", url, "--as", name) == 2
        assert "--as" in capsys.readouterr().err
    assert len(Book(url).cases()) == 2


def test_somebody_who_saves_meanwhile_wins(place, monkeypatch, capsys):
    """A case that changed between the look and the import is not overwritten."""
    root, url = place
    assert run("import", str(root / "east" / "line"), "--book", url) == 0
    looked = Book.trail

    def meanwhile(book, name):
        found = looked(book, name)
        if book.revision(name) == 1:
            Book(url).keep(name, dataclasses.replace(book.open(name), title="Meanwhile"), who="T2", why="change")
        return found

    monkeypatch.setattr(Book, "trail", meanwhile)
    assert run("import", str(root / "west" / "line"), "--book", url, "--replace") == 2
    assert Book(url).open("line").title == "Meanwhile"
