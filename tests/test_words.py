"""Words that users read stand in the catalogue: pages hold none, every key has a text, every text a use."""

import ast
import re
import string
from pathlib import Path

import pytest

from coreset.text import catalogue, say

ROOT = Path(__file__).parents[1]
PAGES = sorted(ROOT.glob("pages/**/*.py"))
SOURCES = sorted([*ROOT.glob("coreset/**/*.py"), *PAGES])
SHOWN = (
    "button caption checkbox download_button error expander form_submit_button header info markdown metric "
    "number_input page_link radio segmented_control selectbox subheader success tabs text_input title toast warning "
    "write text text_area date_input slider toggle file_uploader multiselect pills"
)
WIDGETS = set(SHOWN.split())


def literals(node):
    """Texts of an argument that a reader would see: constants and the fixed parts of f-strings."""
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        yield node.value
    elif isinstance(node, ast.JoinedStr):
        yield from (part.value for part in node.values if isinstance(part, ast.Constant))


def shown_words(path):
    """Words that a page hands to a widget itself; icons and marks are none."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.func.attr in WIDGETS:
            shown = node.args[:1] + [k.value for k in node.keywords if k.arg in {"label", "help", "body"}]
            yield from (text for arg in shown for text in literals(arg) if _is_words(text))


def test_pages_hold_no_words():
    """No widget of a page is given words of its own."""
    assert not {str(path.relative_to(ROOT)): words for path in PAGES if (words := list(shown_words(path)))}


def _is_words(text):
    return bool(re.search(r"[A-Za-z]{2,}", re.sub(r":material/\w*|:|\w+_circle", "", text)))


def asked_for(path):
    """Each fixed key that a module says, with the blanks that it fills; None stands for `**`."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "say" and node.args:
            key = node.args[0]
            if isinstance(key, ast.Constant):
                yield key.value, {keyword.arg for keyword in node.keywords}


def unfilled(key, given):
    """Blanks of a text that are not filled in."""
    blanks = {name for _, name, _, _ in string.Formatter().parse(catalogue()[key]) if name}
    return set() if None in given else blanks - given


def test_every_key_that_is_asked_for_has_a_text():
    """Each say() with a fixed key finds it, and gives it every blank that it has."""
    asked = [(str(path.relative_to(ROOT)), *one) for path in SOURCES for one in asked_for(path)]
    assert not [(path, key) for path, key, _ in asked if key not in catalogue()]
    assert not [(path, key, blanks) for path, key, given in asked if (blanks := unfilled(key, given))]


def uses():
    """How texts are asked for: keys in full, keys put together of parts, and all words of the sources."""
    fixed, joined, words = set(), [], set()
    for path in SOURCES:
        text = path.read_text(encoding="utf-8")
        words |= set(re.findall(r"[^\W_]+", text))
        for node in ast.walk(ast.parse(text)):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                fixed.add(node.value)
            elif isinstance(node, ast.JoinedStr):
                parts = [part.value if isinstance(part, ast.Constant) else None for part in node.values]
                joined.append("".join("(.*)" if part is None else re.escape(part) for part in parts))
    for path in [*ROOT.glob("pages/**/*.js"), *ROOT.glob("studies/**/*.toml")]:
        words |= set(re.findall(r"[^\W_]+", path.read_text(encoding="utf-8")))
    return fixed, [re.compile(one) for one in joined if re.match(r"[a-z]+\\\.[a-z_]{3}", one)], words


def test_every_text_has_a_use():
    """A key is asked for in full, read with its whole table, or put together of words that stand in the sources."""
    fixed, joined, words = uses()
    tables = tuple(one for one in fixed if re.fullmatch(r"[a-z]+\.([a-z_]+\.)*", one))
    whole = re.compile(r"help\.(keyboard|methods)\..*")  # each row is shown, by the beginning of its key

    def made(key):
        table, _, last = key.rpartition(".")
        if (
            table in fixed
            and last in words
            or last in ("title", "help", "epilog")
            and table.rpartition(".")[2] in words
        ):
            return True  # of a table, a page or a command, by its name
        found = (one.fullmatch(key) for one in joined)
        return any(one and set(re.findall(r"[^\W_]+", " ".join(one.groups()))) <= words for one in found)

    unused = {key for key in catalogue() if key not in fixed and not key.startswith(tables) and not whole.match(key)}
    assert not sorted(key for key in unused if not made(key))


def test_texts_are_well_formed():
    """Every text has matched blanks and is not empty."""
    for key, text in catalogue().items():
        assert text.strip(), key
        list(string.Formatter().parse(text))


def test_a_key_that_is_not_there_is_refused():
    """A page cannot show a key by accident."""
    with pytest.raises(ValueError, match="must have a key"):
        say("front.no_such_text")


def test_every_part_of_a_case_has_a_name():
    """Setup lists each section and table of a case by its name: one without a text would close the whole page."""
    from coreset.forms.editing import LISTS, SECTIONS

    assert not [name for name in ("case", *SECTIONS, *LISTS) if f"front.part.{name}" not in catalogue()]
