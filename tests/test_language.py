"""Another language is a folder of texts: with a made-up one, no English word is met but what the plant wrote itself."""

import shutil
import subprocess
from html import unescape

import pytest
from lacking import need
from pseudo_language import CODE, put_in, unmarked
from streamlit.testing.v1 import AppTest

import coreset.text as texts
from coreset.assess import assess
from coreset.brief.pictures import pictures
from coreset.brief.rendered import html, pdf
from coreset.cli.command import main
from coreset.errors import Fault, OutOfRange
from coreset.figures.grammar import RESERVED
from coreset.money.figures import MODEL
from coreset.sources import edges, rules, sources, table, tables
from coreset.store.book import Book
from coreset.store.folder.reader import read
from coreset.text import message, say
from coreset.web import navigation, shelf

FIGURES = [name.replace("_", mark) for name in (*MODEL.inputs, *MODEL.figures) for mark in "_ "]
CODES = ["NPV", "IRR", "RWL", "CLI", "FILI", "STLI", "SLI", "VLI", "FLI", "USD", "WBGT", "RSI", "COSI", "CUSI", "EVPI"]
"""Symbols of the trade, the same in every language."""
NOTATION = [
    *RESERVED,
    "sum",
    "shares",
    "cumulative",
    "over patterns",
    "over",
    "if",
    "else",
    "and",
    "or",
    "before",
    "program",
]
"""Functions of the notation of formulas; who wrote what nobody did."""


@pytest.fixture
def demo():
    """The case of the demo."""
    return read(shelf.demo_folder())


@pytest.fixture
def other(monkeypatch):
    """The made-up language is there and wanted."""
    put_in(monkeypatch)
    for kept in (texts._of, texts._messages, texts._patterns, texts._all_texts):
        kept.cache_clear()
    yield
    for kept in (texts._of, texts._messages, texts._patterns, texts._all_texts):
        kept.cache_clear()


@pytest.mark.slow
def test_a_refusal_is_read_in_the_language_of_the_reader(other, monkeypatch):
    """One refusal, raised once, is read in two languages; what is filled in stays as it is."""
    refused = OutOfRange("hold_min must not be negative, got -2")
    fault = Fault(file="case.toml", found="3 again", expected="each number once", row=4)
    assert unmarked(str(refused)) == [] and "-2" in str(refused)
    assert unmarked(str(fault), "case.toml") == [] and "3" in str(fault)
    monkeypatch.setenv(texts.LANGUAGE_VARIABLE, texts.ENGLISH)
    assert str(refused) == "hold_min must not be negative, got -2"
    assert str(fault) == "case.toml, row 4: found 3 again, expected each number once"


def test_a_language_that_is_not_there_is_english(other, monkeypatch):
    """Whoever wants another language, or none, reads English."""
    for wanted in ("", "zz", "en-US"):
        monkeypatch.setenv(texts.LANGUAGE_VARIABLE, wanted)
        assert say("common.not_known") == "not known"
        assert message("name of the step") == "name of the step"
    monkeypatch.setenv(texts.LANGUAGE_VARIABLE, f"{CODE}-YY")
    assert say("common.not_known") != "not known"


@pytest.mark.slow
@pytest.mark.parametrize("words", [["assess"], ["check"]])
def test_the_command_says_no_word_of_its_own(other, demo, capsys, words):
    """The answer of the demo on the command line."""
    with pytest.raises(SystemExit):
        main([*words, str(shelf.demo_folder())])
    assert unmarked(capsys.readouterr().out, demo, FIGURES, CODES, NOTATION) == []


def of_sources():
    """Publications, rules and cells of tables, which are cited as they are."""
    return [
        sources(),
        rules(),
        *map(edges, ("disagree", "less")),
        list(tables()),
        [table(path).rows for path in tables()],
    ]


@pytest.mark.slow
def test_the_brief_says_no_word_of_its_own(other, demo):
    """The long form, as it is read in a browser."""
    found = assess(demo, resamples=200, draws=500, replications=20)
    said = html(found, pictures(found), full=True)
    assert unmarked(unescape(said.partition("<body")[2]), demo, FIGURES, CODES, NOTATION, of_sources()) == []


@pytest.mark.slow
def test_the_printed_brief_says_no_word_of_its_own(other, demo, tmp_path):
    """The two pages that are printed; a name of the case may be broken over lines."""
    need(shutil.which("pdftotext"), "NO PDFTOTEXT: the printed brief was not read in another language")
    found = assess(demo, resamples=200, draws=500, replications=20)
    (tmp_path / "brief.pdf").write_bytes(pdf(found, pictures(found)))
    said = subprocess.run(
        ["pdftotext", "-raw", tmp_path / "brief.pdf", "-"], capture_output=True, text=True, check=True
    )
    assert unmarked(" ".join(said.stdout.split()), demo, FIGURES, CODES, NOTATION) == []


TOLD = {"body", "label", "help", "options", "value", "placeholder", "default", "columns", "caption", "alt", "message"}


def told(part):
    """What an element of a page tells its reader."""
    for field, value in part.ListFields():
        several = list(value) if field.is_repeated else [value]
        if field.message_type is not None and not field.message_type.GetOptions().map_entry:
            for one in several:
                yield from told(one)
        elif field.name in TOLD:
            yield from (one for one in several if isinstance(one, str))


def elements(block):
    """Every element of a page, however deep."""
    for one in block.children.values():
        if getattr(one, "proto", None) is not None:
            yield one.proto
        yield from elements(one) if hasattr(one, "children") else ()


@pytest.mark.slow
@pytest.mark.parametrize("page", [page for page in navigation.ORDER if page != "sources"])
def test_no_page_says_a_word_of_its_own(other, demo, page, tmp_path, monkeypatch):
    """Each page with the demo but Sources, which cites: what stands on it, its labels, its help and its choices."""
    url = f"sqlite:///{tmp_path / 'book.sqlite'}"
    monkeypatch.setenv("CORESET_BOOK", url)
    book = Book(url)
    shelf.shelve(book, shelf.demo_folder())
    book.close()
    app = AppTest.from_file(str(navigation.FOLDER / "app.py"), default_timeout=300)
    app.session_state["who"], app.session_state["case_id"] = "T1", "ostrander_bend"
    app.run()
    app.switch_page(str(navigation.path_of(page))).run()
    assert not app.exception
    said = "\n".join(text for root in app._tree.children.values() for part in elements(root) for text in told(part))
    assert unmarked(said, demo, "ostrander_bend", FIGURES, CODES, NOTATION, of_sources()) == []
