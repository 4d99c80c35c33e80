"""Codes that can name no file: refused wherever they are new, never in the way where a database already holds them."""

import dataclasses
import io
import sys
import zipfile
from pathlib import PurePosixPath

import pytest

from coreset.brief import dataset
from coreset.case import codes
from coreset.case.codes import code_faults, code_rule, codes_of, safe_name, with_safe_codes
from coreset.cli.command import main
from coreset.errors import BookError, StudyError
from coreset.forms import editing
from coreset.store import folder
from coreset.store.book import Book
from coreset.web.shelf import demo_folder

BAD = [
    "../../a", "a/b", "a\\b", "..", ".", ".hidden", "~a", " a", "a ", "a.", "a\nb", "a\x00b", "a\u202eb", "a\u200bb",
    "a\u00a0b", "con", "NUL.txt", "Com1", "lpt\u00b9", "a:b", "a*", "a?", '"a"', "a|b", "x" * 81, "\U0001f642" * 60,
    "S1.corrections", " ", "a\ud800",
]  # fmt: skip
MIXED = {"C\u0410P-1": "CAP-1", "Gie\u03b2en": "Gieben", "\u0421OR\u0415 \u0416": "CORE _"}
"""Letters of Cyrillic and Greek among Latin ones, and the safe name of each."""
GOOD = [
    "S1",
    "S1.2",
    "hand, redesigned",
    "4711-2",
    "(b) #4 & =1",
    "Gehäuse",
    "漢字",
    "x" * 80,
    "console",
    "a..b",
    "A型",
    "стержень 2",
    "±5 µm",
]


def path_of(name):
    """Whether a path stays below the folder that it is unpacked in."""
    parts = PurePosixPath(name.replace("\\", "/"))
    return not parts.is_absolute() and ".." not in parts.parts and ":" not in name


def named(case, *, study=None, pattern=None, method=None):
    """A case with the first study, pattern or method under another code, all over it."""
    kinds = codes_of(case)
    renamed = {
        kind: {kinds[kind][0]: code}
        for kind, code in (("study", study), ("pattern", pattern), ("method", method))
        if code is not None
    }
    return codes._renamed(case, renamed)


def run(*words):
    """Exit status of the command."""
    with pytest.raises(SystemExit) as ended:
        sys.exit(main(words))
    return ended.value.code


def stored_before(book, monkeypatch, name, case):
    """Put a case into a database as versions before the rule did."""
    with monkeypatch.context() as old:
        old.setattr("coreset.store.book.book.refuse_new_codes", lambda *_, **__: None)
        book.keep(name, case, who="T1", why="before the rule")


@pytest.fixture(scope="module")
def demo():
    """The invented foundry."""
    return folder.read(demo_folder())


@pytest.fixture(scope="module")
def small(demo):
    """The demo with two studies."""
    return dataclasses.replace(demo, studies=demo.studies[:2])


@pytest.mark.parametrize("code", BAD)
def test_a_code_that_names_no_file_is_told(code):
    """Every such code breaks a rule, and has a safe name that breaks none."""
    assert code_rule(code)
    assert not code_rule(safe_name(code))


@pytest.mark.parametrize("code", GOOD)
def test_usual_codes_are_taken(code):
    """What people write as codes is left alone."""
    assert not code_rule(code)
    assert safe_name(code) == code


@pytest.mark.parametrize(("code", "safe"), MIXED.items())
def test_a_code_that_mixes_alphabets_is_told(code, safe):
    """It looks like another code and is refused; it leaves in Latin letters, apart from the code it looks like."""
    assert "in one alphabet" in code_faults([code])[code]
    assert not code_faults([code], held=[code])
    assert safe_name(code) == safe and safe_name(code, taken=[safe]) == f"{safe}-2"


PAIRS = [
    ("S1", "s1"),
    ("Straße", "STRASSE"),
    ("Ａ1", "A1"),
    ("é", "e\u0301"),
    ("CAP", "\u0421\u0410\u0420"),
    ("HEX", "\u0397\u0395\u03a7"),
]


@pytest.mark.parametrize("pair", PAIRS)
def test_codes_that_are_taken_for_each_other(pair):
    """Two codes of one kind that differ only in capitals or forms of letters, or look alike in another alphabet."""
    assert list(code_faults(pair)) == [pair[1]]
    assert not code_faults(pair, held=pair)


@pytest.mark.parametrize("code", [*(code for code in BAD if code.isprintable() and code.strip()), *MIXED])
@pytest.mark.parametrize("kind", ["study", "pattern", "method"])
def test_every_way_in_refuses(kind, code, small, tmp_path):
    """Parts of a case, as folders, workbooks and pages give them, and the database refuse the same codes."""
    case = named(small, **{kind: code})
    with pytest.raises(StudyError, match="expected a"):
        folder.build(folder.plain(case))
    book = Book(f"sqlite:///{tmp_path / 'book.sqlite'}")
    book.keep("demo", small, who="T1", why="new")
    for name in ("demo", "other"):
        with pytest.raises(BookError, match=f"{kind} must have"):
            book.keep(name, case, who="T1", why="change")
    assert [row.case_id for row in book.cases()] == ["demo"]
    assert book.revision("demo") == 1


@pytest.mark.parametrize("code", ["a/b", "../x", "NUL", "a\u202eb", "DEMO", "d\u0435mo"])
def test_a_case_takes_no_such_name(code, small, tmp_path):
    """The name of a case is a folder's; one that differs from another's in capitals alone is none."""
    book = Book(f"sqlite:///{tmp_path / 'book.sqlite'}")
    book.keep("demo", small, who="T1", why="new")
    with pytest.raises(BookError, match="case must have"):
        book.keep(code, small, who="T1", why="new")


def test_a_folder_with_such_codes_is_refused(small, tmp_path):
    """Codes in tables and tables of TOML are looked at as the names of files are."""
    folder.write(small, tmp_path / "case")
    patterns = tmp_path / "case" / "patterns.csv"
    code = small.patterns[-1].pattern
    patterns.write_text(patterns.read_text().replace(f"\n{code},", f"\n{code}/2,"))
    with pytest.raises(StudyError) as refused:
        folder.read(tmp_path / "case")
    assert f"column pattern: found '{code}/2', expected a code without" in str(refused.value)


def test_what_a_database_holds_stays_usable(small, tmp_path, monkeypatch, capsys):
    """A case with such codes opens, is edited, and leaves under safe names, which is said; no path leads out."""
    bad = named(small, study="../../evil", pattern="a/b", method="NUL")
    bad = codes._renamed(bad, {"pattern": {bad.patterns[1].pattern: "C\u0410P-1"}})
    url = f"sqlite:///{tmp_path / 'book.sqlite'}"
    book = Book(url)
    stored_before(book, monkeypatch, "../up", bad)
    held = book.open("../up")
    assert codes_of(held) == codes_of(bad)
    edited = editing.changed(held, "money", {"years": 7})
    assert book.keep("../up", edited, who="T1", why="years") == 2
    with pytest.raises(StudyError, match="a code without"):
        editing.changed(held, "patterns", {"pattern": "c/d"}, row=0)
    for made in (tmp_path / "out", tmp_path / "out.zip"):
        assert run("export", "../up", str(made), "--book", url) == 0
        told = capsys.readouterr()
        assert all(name in told.out + told.err for name in ("_.._evil", "a_b", "CAP-1"))
    back = folder.read(tmp_path / "out")
    assert back == with_safe_codes(book.open("../up"))[0]
    assert codes_of(back)["pattern"][:2] == ("a_b", "CAP-1")
    with zipfile.ZipFile(tmp_path / "out.zip") as pack:
        assert all(map(path_of, pack.namelist())), pack.namelist()
        pack.extractall(tmp_path / "unpacked")
    assert folder.read(tmp_path / "unpacked" / "out") == back
    assert "study ../../evil" in (tmp_path / "out" / "renamed.txt").read_text()
    assert all(map(path_of, dataset.case_files(book.open("../up"))))


@pytest.mark.parametrize("name", ["../a", "/a", "a/../../b", "C:\\a", "..\\a", "a\\b", ""])
def test_no_archive_holds_a_path_that_leads_out(name):
    """Whatever made the names, the archive refuses one that leads out."""
    with pytest.raises(ValueError, match="path"):
        dataset.archive({name: b"x"})
    assert zipfile.ZipFile(io.BytesIO(dataset.archive({"case/a.csv": b"x"}))).namelist() == ["case/a.csv"]


def test_an_archive_named_by_dots_stays_inside(small, tmp_path):
    """The folder in an archive is named after the archive, safely."""
    url = f"sqlite:///{tmp_path / 'book.sqlite'}"
    Book(url).keep("demo", small, who="T1", why="new")
    assert run("export", "demo", str(tmp_path / "...zip"), "--book", url, "--quiet") == 0
    with zipfile.ZipFile(tmp_path / "...zip") as pack:
        assert all(map(path_of, pack.namelist())), pack.namelist()


def test_a_new_version_of_a_long_code_still_leaves(small, tmp_path):
    """A code that the program itself made longer than a code may be is cut for the export, not in the way."""
    long = named(small, study="x" * 80)
    book = Book(f"sqlite:///{tmp_path / 'book.sqlite'}")
    book.keep("demo", long, who="T1", why="new")
    assert len(book.new_version("demo", "x" * 80, who="T1", why="again")) > 80
    held = book.open("demo")
    assert editing.changed(held, "money", {"years": 7}).money.years == 7
    folder.write(held, tmp_path / "out")
    assert len(folder.read(tmp_path / "out").studies) == len(held.studies)


def test_renaming_reaches_every_reference(demo):
    """A renamed pattern or method is renamed in lifts, cores, steps, scrap and studies alike."""
    bad = named(demo, pattern="a/b", method="c/d", study="e/f")
    safe, renamed = with_safe_codes(bad)
    assert renamed == {"study e/f": "e_f", "pattern a/b": "a_b", "method c/d": "c_d"}
    assert "a/b" not in repr(safe) and "c/d" not in repr(safe) and "e/f" not in repr(safe)
    assert folder.build(folder.plain(safe)) == safe
