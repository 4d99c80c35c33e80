"""The brief of the demo, word by word: its text is kept beside the tests, numbers may move by a tenth."""

import re
from functools import cache
from pathlib import Path

import pytest

from coreset.assess import assess
from coreset.brief.content import content
from coreset.brief.pictures import pictures
from coreset.store.folder import read
from coreset.web.shelf import demo_folder

GOLDEN = Path(__file__).with_name("demo_brief.txt")
NUMBER = re.compile(r"[−-]?\d[\d\u00a0]*(?:\.\d+)?")
TOLERANCE = 0.1


@cache
def said():
    """Every line of the two pages."""
    found = assess(read(demo_folder()), draws=20_000)
    brief = content(found, pictures(found))
    lines = [brief.title, brief.line, brief.headline]
    for block in (*brief.one, *brief.two):
        lines += [block.text, *(" | ".join(row) for row in block.rows)]
        lines += [f"{f.what} | {f.value} | {f.interval}" for f in block.figures]
    return "\n".join(line for line in lines if line) + "\n"


def test_its_words_have_not_changed():
    """Text without its numbers is the golden text; after a wanted change run this file to write it anew."""
    assert NUMBER.sub("#", said()) == NUMBER.sub("#", GOLDEN.read_text(encoding="utf-8"))


def test_its_numbers_are_near():
    """Each number is within a tenth of the golden one, or within 1 where it is small."""
    ours, golden = (NUMBER.findall(text) for text in (said(), GOLDEN.read_text(encoding="utf-8")))
    for a, b in zip(ours, golden, strict=True):
        assert _value(a) == pytest.approx(_value(b), rel=TOLERANCE, abs=1.0)


def _value(text):
    return float(text.replace("−", "-").replace("\u00a0", ""))


if __name__ == "__main__":
    GOLDEN.write_text(said(), encoding="utf-8")
