"""Write reference/checks.csv: which test file reads which published table. Run it after adding a table or a test."""

import re
from pathlib import Path

from coreset.sources import tables

ROOT = Path(__file__).parents[1]
TARGET = ROOT / "reference" / "checks.csv"


def found():
    """Pairs of table and test file, sorted.

    A table is read where its path stands, or its key and its name; one that stands nowhere so, being read by the room
    that a test checks, is listed with the tests whose docstrings name its publication.
    """
    texts = {test: test.read_text(encoding="utf-8") for test in sorted(ROOT.glob("tests/**/test_*.py"))}
    pairs = set()
    for path in tables():
        key, _, name = path.partition("/")
        direct = re.compile(rf"{re.escape(path)}|[\"'/]{re.escape(name)}[\"'.]")
        reads = [test for test, text in texts.items() if key in text and direct.search(text)]
        reads = reads or [test for test, text in texts.items() if f"[{key}]" in text]
        pairs |= {(path, test.relative_to(ROOT).as_posix()) for test in reads}
    return sorted(pairs)


def listing():
    """The file's text."""
    return "table,test\n" + "".join(f"{path},{test}\n" for path, test in found())


if __name__ == "__main__":
    TARGET.write_text(listing(), encoding="utf-8")
