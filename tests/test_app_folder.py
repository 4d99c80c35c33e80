"""`coreset app FOLDER` where the database has a case of that name: which one is shown, what differs, what to do."""

import dataclasses

import pytest

from coreset.cli.differences import MOST, differences, told_apart
from coreset.cli.serve import _opened
from coreset.store import folder
from coreset.store.book import Book
from coreset.web.session import CASE_VARIABLE
from coreset.web.shelf import demo_folder


@pytest.fixture(scope="module")
def demo():
    """The invented foundry with two studies."""
    case = folder.read(demo_folder())
    return dataclasses.replace(case, studies=case.studies[:2])


@pytest.fixture
def book(tmp_path, monkeypatch):
    """A database of its own, named for the command."""
    url = f"sqlite:///{tmp_path / 'book.sqlite'}"
    monkeypatch.setenv("CORESET_BOOK", url)
    monkeypatch.setenv(CASE_VARIABLE, "")
    opened = Book(url)
    yield opened
    opened.close()


def test_the_case_of_the_database_is_shown_and_what_differs_is_told(book, demo, tmp_path, capsys):
    """A value, a row added, a row changed, readings: each is named with its place; the folder is not taken in."""
    path = tmp_path / "line_2"
    folder.write(demo, path)
    book.keep("line_2", demo, who="ED2", why="entered")
    assert told_apart(book, path) == (), "exactly alike: nothing to tell"
    money = dataclasses.replace(demo.money, years=demo.money.years + 1)
    lifts = (dataclasses.replace(demo.lifts[0], horizontal_origin=demo.lifts[0].horizontal_origin + 1), *demo.lifts[1:])
    changed = dataclasses.replace(demo, money=money, lifts=lifts, actuals=(), studies=demo.studies[:1])
    book.keep("line_2", changed, who="ED2", why="years")
    _opened(path)
    told = capsys.readouterr().err
    assert "The database has the case 'line_2' already" in told and "revision 2" in told and "ED2" in told
    assert "The pages show that case, not the folder" in told
    assert f"money.years: {money.years} in the database, {demo.money.years} in the folder" in told
    assert f"studies, {demo.studies[1].pattern} {demo.studies[1].study}: only in the folder" in told
    assert f"lifts, {demo.lifts[0].pattern} {demo.lifts[0].task}: horizontal_origin_cm" in told
    assert f"coreset import {path} --as NAME" in told and f"coreset import {path} --replace" in told
    assert book.open("line_2").money.years == money.years and book.revision("line_2") == 2


def test_a_new_folder_is_taken_in_and_one_with_errors_is_told(book, demo, tmp_path, capsys):
    """No case of that name: nothing is told. Errors in the folder do not keep the case of the database from opening."""
    path = tmp_path / "line_3"
    folder.write(demo, path)
    _opened(path)
    assert capsys.readouterr().err == "" and book.revision("line_3") == 1
    (path / "patterns.csv").write_text("pattern\n")
    _opened(path)
    told = capsys.readouterr().err
    assert "The folder has errors: coreset check" in told and book.revision("line_3") == 1


def test_many_differences_are_counted(demo):
    """A dozen lines, then how many more; the order of rows alone is told as such."""
    bare = dataclasses.replace(demo, lifts=(), cores=(), patterns=())
    lines = differences(demo, bare)
    rows = len(demo.lifts) + len(demo.cores) + len(demo.patterns)
    assert len(lines) == MOST + 1 and lines[-1] == f"and {rows - MOST} more"
    assert differences(demo, dataclasses.replace(demo, lifts=demo.lifts[::-1])) == ("the order of rows",)
