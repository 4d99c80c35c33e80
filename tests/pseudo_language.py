"""A language made up of the English one: every letter of every text is another letter, what is filled in stays."""

import ast
import dataclasses
import re
from functools import cache
from pathlib import Path

import coreset.text as texts
from coreset.case.fields import SHOWN_UNITS
from coreset.money.figures import MODEL
from coreset.sources import sources

ROOT = Path(__file__).parents[1]
MODULES = [*ROOT.glob("coreset/**/*.py"), *ROOT.glob("pages/**/*.py")]
CODE = "xx"
KEPT = re.compile("|".join(sources()) + r"|\{[^}]*\}|:[a-z_]+/?[a-z_]*:|<[^>]+>|\]\([^)]*\)|&[a-z]+;|`[^`]*`")
"""What is no text in a text: blanks, icons, marks of HTML and of links, names of files and of publications."""
OTHER = {ord(a): 0xFF21 + i for i, a in enumerate("ABCDEFGHIJKLMNOPQRSTUVWXYZ")}
OTHER |= {ord(a): 0xFF41 + i for i, a in enumerate("abcdefghijklmnopqrstuvwxyz")}
WORDS = re.compile(r"[A-Za-z]{2,}")
SHOWN = {"cause", "found", "expected", "rule", "counted_in", "label", "formula", "numbers", "unit", "where"}
"""Names under which a text of the code is handed on or kept."""


def marked(text):
    """A text in the made-up language."""
    out, at = "", 0
    for kept in KEPT.finditer(text):
        out += text[at : kept.start()].translate(OTHER) + kept.group()
        at = kept.end()
    return out + text[at:].translate(OTHER)


def _templates(node):
    """English of a message as another language has it, `{0}` for what is filled in; of both ends of a choice."""
    if isinstance(node, ast.IfExp):
        yield from _templates(node.body)
        yield from _templates(node.orelse)
    elif isinstance(node, ast.Constant) and isinstance(node.value, str):
        yield node.value
    elif isinstance(node, ast.JoinedStr):
        filled = iter(range(len(node.values)))
        yield "".join(p.value if isinstance(p, ast.Constant) else f"{{{next(filled)}}}" for p in node.values)


def _handed_on(node, *, working):
    """Parts of a statement that may hold a message: of a refusal, a fault, a field, a figure, a choice."""
    if working and isinstance(node, (ast.Call, ast.Tuple)):
        yield from node.args if isinstance(node, ast.Call) else node.elts
    if isinstance(node, ast.Call):
        name = getattr(node.func, "id", getattr(node.func, "attr", ""))
        if name.endswith("Error") or name in {"says", "OutOfRange", "NoSet", "NotProved", "Input", "Figure", "message"}:
            yield from node.args
        yield from (one.value for one in node.keywords if one.arg in SHOWN)
    elif isinstance(node, ast.Assign) and getattr(node.targets[0], "id", "") in SHOWN:
        yield node.value
    elif isinstance(node, ast.Subscript) and getattr(node.value, "id", "") == "Literal":
        yield from ast.walk(node.slice)


@cache
def messages():
    """Every message of the code by its English."""
    found = set(SHOWN_UNITS.values()) | {
        word for key in (*MODEL.inputs, *MODEL.figures) for word in WORDS.findall(MODEL.unit(key))
    }
    for path in MODULES:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            found |= {
                text
                for part in _handed_on(node, working="working" in path.stem)
                for text in _templates(part)
                if WORDS.search(text)
            }
    found |= {
        key.removeprefix("glossary.").replace("_", " ").capitalize() for key in texts.catalogue() if "glossary." in key
    }
    return {text: marked(text) for text in found}


def _marked_file(name, tree):
    if isinstance(tree, dict):
        return {key: _marked_file(name, value) for key, value in tree.items()}
    if name == "terms":  # a word of the glossary by its key, then a sentence
        key, colon, sentence = tree.partition(":")
        return f"{key}{colon}{marked(sentence)}"
    return marked(tree)


def put_in(monkeypatch):
    """Let the made-up language be there beside English, and be wanted."""
    read = texts._read

    def both(name, language):
        if language != CODE:
            return read(name, language)
        return messages() if name == "messages" else _marked_file(name, read(name, texts.ENGLISH))

    monkeypatch.setattr(texts, "_read", both)
    monkeypatch.setattr(texts, "languages", lambda: (texts.ENGLISH, CODE))
    monkeypatch.setenv(texts.LANGUAGE_VARIABLE, CODE)


def _strings(value):
    """Every text in a value, however deep."""
    if isinstance(value, str):
        yield value
    elif dataclasses.is_dataclass(value):
        yield from _strings([getattr(value, field.name) for field in dataclasses.fields(value)])
    elif isinstance(value, dict):
        yield from _strings([*value, *value.values()])
    elif isinstance(value, (list, tuple, set, frozenset)):
        for one in value:
            yield from _strings(one)


def unmarked(said, *data):
    """Words of a text that are neither in the made-up language nor in the data that it tells of."""
    known = sorted({one.strip(".") for one in _strings(data) if WORDS.search(one)}, key=len, reverse=True)
    said = re.sub(r"\\|\*\*", "", said)  # marks of the framework's own markup
    said = re.sub(
        r"<style>.*?</style>|<script.*?</script>|</?[a-z][^>]*>|:material/\w+:|\]\([^)]*\)|`[^`]*`",
        " ",
        said,
        flags=re.S,
    )
    pattern = "|".join(rf"(?<![A-Za-z]){re.escape(one)}(?![A-Za-z])" for one in known)
    left = re.sub(pattern, " ", said, flags=re.I) if pattern else said
    return [
        " ".join(left[max(0, one.start() - 30) : one.end() + 30].split()) for one in re.finditer(r"[A-Za-z]{3,}", left)
    ]
