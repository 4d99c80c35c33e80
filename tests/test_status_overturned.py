"""One printed row or rule degraded: exactly the answers that use it change, alike in every output."""

import csv
import io
import shutil
import sys
from functools import cache
from importlib.resources import files
from pathlib import Path

import openpyxl
import pytest
from test_sources_used import SIZES, small

from coreset import before_money, sources
from coreset.assess import assess
from coreset.brief import sources_page
from coreset.brief.content import content
from coreset.brief.dataset import table, tables
from coreset.brief.document import document
from coreset.brief.sources_used import sources_used
from coreset.brief.workbook import workbook

MEMORY = "from memory, not verified"


def forgotten():
    """What the product keeps of published tables is read anew."""
    for name, module in list(sys.modules.items()):
        if name.startswith("coreset"):
            for each in list(vars(module).values()):
                getattr(each, "cache_clear", lambda: None)()
    for store in (before_money._ROOMS, before_money._TIMED):
        store.clear()


@pytest.fixture
def degraded(tmp_path, monkeypatch):
    """Replace one text of a file of a copy of reference/, which the product then reads."""
    copy = shutil.copytree(str(files("coreset.reference")), tmp_path / "reference")

    def change(path, old, new):
        text = (copy / path).read_text(encoding="utf-8")
        assert text.count(old) == 1 and old != new, (path, old)
        lines = text.replace(old, new).splitlines(keepends=True)
        if "status" not in lines[2] and "rules" not in path:
            lines[2] = lines[2].rstrip("\n") + ",status\n"
        (copy / path).write_text("".join(lines), encoding="utf-8")
        monkeypatch.setattr(sources, "_root", lambda: Path(copy))
        forgotten()

    yield change
    monkeypatch.undo()
    forgotten()


@cache
def before():
    """Statuses before anything is degraded."""
    return statuses(assess(small(), **SIZES))


def statuses(assessment):
    """Status of each figure in list, JSON and page, of each publication elsewhere, and what the brief says."""
    used = sources_used(assessment)
    data = document(assessment)
    set_of = csv.DictReader(io.StringIO(table(tables(assessment, data)["sources"]).decode()))
    sheet = openpyxl.load_workbook(io.BytesIO(workbook(assessment)), read_only=True).worksheets[-1]
    last = [block.text for block in content(assessment, {}).two if "Weakest source by figure" in block.text]
    of_page = ((figure, row) for figure, rows in sources_page.by_figure(used).items() for row in rows)
    return {
        "list": {(one.key, use.what): use.status for one in used for use in one.used},
        "json": {(one["key"], use["what"]): use["status"] for one in data["sources"] for use in one["used"]},
        "page": {(row["publication"], figure): row["status"] for figure, row in of_page},
        "data set": {row["key"]: row["status"] for row in set_of},
        "workbook": {row[0]: row[5] for row in sheet.iter_rows(values_only=True) if len(row) > 5 and row[5]},
        "brief": last[0].rpartition("by figure: ")[2],
    }


def moved(one, other):
    """What has another status in the second."""
    assert one.keys() == other.keys()
    return {name for name in one if one[name] != other[name]}


FM_RULE = 'destination is rated","section 1.3.5.4; glossary, p. 15; 74"'
STANDING = "each kilogram of body mass,task elements"
LIMITS, STANDARD, MONEY = "lifting limits and indices", "standard times", "business case"
BODY = "energy, heat and hand work"


@pytest.mark.parametrize(
    ("path", "old", "new", "what"),
    [
        ("waters1994/table7_coupling.csv", "poor,.90,.90", "poor,.90,.90,memory", LIMITS),
        ("waters1994/table7_coupling.csv", "fair,.95,1.00", "fair,.95,1.00,memory", ""),
        ("waters1994/constants.csv", "load_constant,51,23,mass,reprinted", "load_constant,51,23,mass,memory", LIMITS),
        ("waters1994/rules.csv", f"{FM_RULE},reprinted", f"{FM_RULE},memory", LIMITS),
        ("ilo1957/allowances.csv", "personal,,,5", "personal,,,5,memory", STANDARD),
        ("ilo1957/allowances.csv", "use of force,5 lb,5,0", "use of force,5 lb,5,0,memory", ""),
        ("irs946/table_a1_half_year.csv", "# status: reprinted", "# status: memory", MONEY),
        ("garg1978/rules.csv", f"{STANDING},reprinted", f"{STANDING},memory", BODY),
        ("moore1995/bands.csv", "# status: reprinted", "# status: memory", ""),
    ],
)  # fmt: skip
def test_a_degraded_row_changes_exactly_the_answers_that_use_it(degraded, path, old, new, what):
    """Those and no others are then from memory: a row of Table 7 or of allowances that no task uses moves nothing."""
    was, key = before(), path.partition("/")[0]
    degraded(path, old, new)
    now = statuses(assess(small(), **SIZES))
    assert moved(was["list"], now["list"]) == moved(was["json"], now["json"]) == ({(key, what)} if what else set())
    assert {figure for _, figure in moved(was["page"], now["page"])} == ({what} if what else set())
    assert (
        moved(was["data set"], now["data set"]) == moved(was["workbook"], now["workbook"]) == ({key} if what else set())
    )
    assert not what or now["list"][key, what] == "memory" and now["data set"][key] == now["workbook"][key] == MEMORY
    # The brief gives each figure once, with its weakest status: the words before that of memory name it.
    assert not what or what in now["brief"].partition(MEMORY)[0].rpartition("; ")[2]
    assert what or now["brief"] == was["brief"]
