"""Write reference/checks.csv: which test file reads which published table. Run it after adding a table or a test."""

import re
from pathlib import Path

from coreset.sources import tables

ROOT = Path(__file__).parents[1]
TARGET = ROOT / "reference" / "checks.csv"


def found():
    """Pairs of table and test file, sorted; a table is read where its path stands, or its key and its name."""
    pairs = set()
    for test in sorted(ROOT.glob("tests/**/test_*.py")):
        text = test.read_text(encoding="utf-8")
        for path in tables():
            key, _, name = path.partition("/")
            if path in text or (key in text and re.search(rf"[\"'/]{re.escape(name)}[\"'.]", text)):
                pairs.add((path, test.relative_to(ROOT).as_posix()))
    return sorted(pairs)


def listing():
    """The file's text."""
    return "table,test\n" + "".join(f"{path},{test}\n" for path, test in found())


if __name__ == "__main__":
    TARGET.write_text(listing(), encoding="utf-8")
