"""Words and help: every field of a case, and every field of a page, says in a sentence what it is about."""

import ast
import re
from pathlib import Path

import pytest

from coreset.forms.editing import LISTS, SECTIONS, kind_of
from coreset.forms.fields import fields, known
from coreset.report.glossary import TERMS, glossary, term, word_of
from coreset.study.report.practice_case import practice_case
from coreset.study.report.timing import COLUMNS, column_help
from coreset.text import catalogue

ROOT = Path(__file__).parents[1]
ASKS = {
    "number_input", "selectbox", "text_input", "slider", "multiselect", "segmented_control", "checkbox", "text_area",
}  # fmt: skip
HELPED = sorted(ROOT.glob("pages/**/*.py"))
HEAD = re.compile(r"^[A-Z].+[.] \[Glossary: .+\]\(/guide#(?P<anchor>[a-z0-9-]+)\)")
LINK = re.compile(r"^(?P<sentence>[A-Z0-9−].+[.]) \[Glossary: (?P<word>.+)\]\(/guide#(?P<anchor>[a-z0-9-]+)\)\. In the")


@pytest.mark.parametrize("place", ["case", *SECTIONS, *LISTS])
def test_every_field_has_a_sentence_and_a_link_to_its_word(place):
    """The help of a field is a sentence, a link to an entry that there is, and the column of the files."""
    anchors = {word.anchor for word in glossary()}
    case = practice_case()
    asked = fields(kind_of(case, place), case.units, known(case, place, 0))
    assert asked
    for one in asked:
        found = LINK.match(one.help)
        assert found, one.help
        assert found["anchor"] in anchors, one.help
        assert f"`{one.column}`" in one.help


def test_every_term_names_a_field_and_a_word():
    """The list of terms holds no field that is gone and no word that the glossary lacks."""
    kinds = {kind.__name__: kind for kind in (kind_of(practice_case(), place) for place in ["case", *SECTIONS, *LISTS])}
    for key in catalogue():
        if key.startswith(TERMS):
            owner, name = key.removeprefix(TERMS).split(".")
            assert name == "_" or name in kinds[owner].__dataclass_fields__, key
            assert word_of(term(owner, name)[0]).meaning
    assert {key.split(".")[1] for key in catalogue() if key.startswith(TERMS)} == set(kinds)


def test_every_entry_is_a_sentence_of_moderate_length():
    """An entry can be read in a tooltip."""
    for word in glossary():
        assert word.meaning[-1] == "." and 20 < len(word.meaning) < 200, word


@pytest.mark.parametrize("path", HELPED, ids=lambda path: path.name)
def test_every_field_of_a_page_has_help(path):
    """No page asks for anything without saying what it is; forms of a case take their help from the fields."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr in ASKS:
            given = {keyword.arg for keyword in node.keywords}
            within = ast.unparse(node)
            assert given & {"help", None} or "front.range" in within or "ranges.slider" in within, within


def test_every_column_of_a_table_that_scrolls_has_help():
    """No page shows such a table without help for its columns; those of the readings lead to words that there are."""
    anchors = {word.anchor for word in glossary()}
    calls = [
        node
        for path in HELPED
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute)
        if node.func.attr in ("dataframe", "data_editor")
    ]
    assert calls and all("column_config" in {keyword.arg for keyword in call.keywords} for call in calls)
    for name in COLUMNS:
        found = HEAD.match(column_help(name))
        assert found and found["anchor"] in anchors, name
