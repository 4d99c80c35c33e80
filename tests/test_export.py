"""A case leaves the book by the command, as a folder or as one archive of that folder, and comes back equal."""

import zipfile

from coreset.cli.command import main
from coreset.store import folder
from coreset.store.book import Book
from coreset.web.shelf import demo_folder


def exit_of(*words):
    """Run the command; the code it ends with."""
    try:
        return main(list(words))
    except SystemExit as ended:
        return ended.code


def test_a_case_of_the_book_goes_through_an_archive_and_back(tmp_path, capsys):
    """Book -> ZIP -> folder -> case, nothing lost but what it says; the archive is one folder, and import takes it."""
    url = f"sqlite:///{tmp_path / 'book.sqlite'}"
    case = folder.read(demo_folder())
    book = Book(url)
    book.keep("demo", case, who="T1", why="test")
    book.close()
    assert exit_of("export", "demo", str(tmp_path / "out.zip"), "--book", url) == 0
    assert "changes with who and why (1), presses of the clock as they came (0), videos" in capsys.readouterr().out
    with zipfile.ZipFile(tmp_path / "out.zip") as pack:
        assert {name.partition("/")[0] for name in pack.namelist()} == {"out"}
        pack.extractall(tmp_path)
    assert folder.read(tmp_path / "out") == case
    other = f"sqlite:///{tmp_path / 'other.sqlite'}"
    assert exit_of("import", str(tmp_path / "out"), "--book", other, "--quiet") == 0
    back = Book(other)
    assert back.open("out") == case
    back.close()


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
