"""The one list of publications behind a case: what no figure uses any more leaves every output, and by the figure."""

import csv
import io
from dataclasses import replace
from functools import cache

import openpyxl
import pytest

from coreset.assess import assess
from coreset.brief import annex, sources_page, workings
from coreset.brief.dataset import table, tables
from coreset.brief.document import document
from coreset.brief.sources_used import SourceUsed, Use, sources_used
from coreset.brief.workbook import workbook
from coreset.brief.workings import by_subject
from coreset.figures.printed import line as printed_line
from coreset.lifting.report import working as lift_working
from coreset.money.report import base_figures
from coreset.sources import rule, rules, weakest
from coreset.store.folder import read
from coreset.study.estimate import data
from coreset.web.shelf import demo_folder

SIZES = {"resamples": 100, "draws": 500, "replications": 20}


@cache
def small():
    """The smaller invented plant."""
    return read(demo_folder().parent / "tamarack_flat")


@cache
def found(change="as_is"):
    """What follows from it after one change."""
    case = small()
    free = {"table": "", "force_from_core": False, "lines": ()}
    changed = {
        "as_is": case,
        "straight": replace(case, money=replace(case.money, depreciation="straight")),
        "no_tax": replace(case, money=replace(case.money, tax_rate=0.0)),
        "own_allowances": replace(case, allowances=tuple(replace(a, **free) for a in case.allowances)),
        "no_lifts": replace(case, lifts=()),
    }[change]
    return assess(changed, **SIZES)


def outputs(assessment):
    """Keys of the publications that each output names, in its order."""
    data = document(assessment)
    rows = csv.DictReader(io.StringIO(table(tables(assessment, data)["sources"]).decode()))
    sheet = openpyxl.load_workbook(io.BytesIO(workbook(assessment)), read_only=True).worksheets[-1]
    cells = [row[0] for row in sheet.iter_rows(values_only=True) if row and row[0]]
    return {
        "list": [one.key for one in sources_used(assessment)],
        "json": [row["key"] for row in data["sources"]],
        "data set": [row["key"] for row in rows],
        "long form": [row[0] for row in annex.blocks(assessment)[-1].rows[1:]],
        "workbook": cells[cells.index("key") + 1 :],
    }


@pytest.mark.slow
@pytest.mark.parametrize(
    ("change", "gone"),
    [("straight", "irs946"), ("no_tax", "irs946"), ("own_allowances", "ilo1957"), ("no_lifts", "waters1994")],
)
def test_a_publication_that_no_figure_uses_leaves_every_output(change, gone):
    """All outputs name the same publications; what a change of the case makes idle is named in none of them."""
    before, after = outputs(found()), outputs(found(change))
    for said in (before, after):
        assert all(keys == said["list"] for keys in said.values()), said
    assert gone in before["list"] and gone not in after["list"]


@pytest.mark.parametrize("change", ["as_is", "own_allowances"])
def test_no_line_is_better_than_the_rules_that_it_uses(change):
    """A cited line has a status, never a better one than its rules, and the list has the weakest of its lines."""
    used = {one.key: one for one in sources_used(found(change))}
    for _, line in by_subject(found(change)):
        if line.source:
            statuses = [rule(line.source, name).status for name in line.rules]
            assert line.status and weakest([line.status, *statuses]) == line.status, line
            assert weakest([used[line.source].status, line.status]) == used[line.source].status
            assert {name for name, _ in used[line.source].rules} >= set(line.rules)
        else:
            assert not line.rules and not line.status, line


def test_one_weak_rule_does_not_make_the_whole_manual_weak():
    """With two lifts in a job the composite index rests on a rule from memory; limits of single lifts do not."""
    one, *others = small().lifts
    case = replace(small(), lifts=(one, replace(one, task="second lift"), *others))
    manual = next(source for source in sources_used(assess(case, **SIZES)) if source.key == "waters1994")
    status = {use.what: use.status for use in manual.used}
    assert status["lifting limits and indices"] == "reprinted"
    assert status["indices of jobs of several lifts"] == manual.status == "memory"


def test_a_team_and_a_push_name_what_their_figures_rest_on():
    """[hse2004] decides the index of a job by a team, [hse_pushpull] that of a hoisted mask that is pushed."""
    team, pushed, *others = small().lifts
    team = replace(team, persons=2)
    pushed = replace(pushed, hoist=True, push_start=60.0, push_keep=20.0, push_height=40.0, push_distance=20.0)
    assessment = assess(replace(small(), lifts=(team, pushed, *others)), **SIZES)
    status = {one.key: one.status for one in sources_used(assessment)}
    assert (status["hse2004"], status["hse_pushpull"]) == ("reprinted", "verified")
    assert not {"hse2004", "hse_pushpull"} & {one.key for one in sources_used(found())}
    share = next(line for subject, line in by_subject(assessment) if line.source == "hse_pushpull")
    largest = max(60 * 4.4482216152605 / 150, 20 * 4.4482216152605 / 70)  # the lower column as printed, N
    assert share.value == pytest.approx(largest) and team.task not in share.what


def test_the_answer_names_what_is_from_memory_and_then_every_figure():
    """First sentence: what was not read in print; rows: each use with its place, its status and its weak rules."""
    used = sources_used(found())
    words, rows = " ".join(sources_page.exceptions(used)), sources_page.by_figure(used)
    assert sources_page.answer(used).endswith("except what is named below.")
    assert "indices of jobs of several lifts (Waters TR (2007))" in words and "standard times" not in words
    assert sum(map(len, rows.values())) == sum(len(one.used) for one in used)
    told = sources_page.weak_rules(used, "indices of jobs of several lifts")
    assert any(
        line.startswith("Waters TR (2007), from memory") and "a slot at the duration class of the whole shift" in line
        for line in told
    )
    assert sources_page.weak_rules(used, "lifting limits and indices") == []
    read = SourceUsed(
        key="waters1994", title="T", authors="A", year="1994", status="reprinted", rules=(),
        used=(Use(what="limits", places=(), status="reprinted", rules=()),),
    )  # fmt: skip
    assert sources_page.answer([read]).endswith("were read in print.") and sources_page.exceptions([read]) == []
    assert sources_page.answer([]) == "No figure of this case rests on a publication yet."


def test_what_no_print_stands_behind_is_not_said_to_be_read():
    """A formula's own values and a choice of our own where the publication is silent are named, each as what it is."""
    use = Use(what="holding", places=(), status="computed", rules=())
    computed = SourceUsed(key="a", title="A", authors="", year="", status="computed", rules=(), used=(use,))
    rule = next(each for each in rules() if each.status == "ours")
    use = Use(what="limits", places=(), status="reprinted", rules=(rule.id,))
    own = ((rule.id, "ours"),)
    ours = SourceUsed(key=rule.key, title="B", authors="", year="", status="reprinted", rules=own, used=(use,))
    assert "except" in sources_page.answer([computed]) and "except" in sources_page.answer([ours])
    assert sources_page.exceptions([computed, ours]) == [
        "values of the formula, not printed: holding (A).",
        "our own choice where the publication is silent: limits (B).",
    ]


def test_sources_of_many_patterns_do_no_work_twice(monkeypatch):
    """No lift is rated again, standard data are made at most once, and no figure of money is written but the cited."""
    assessment, made = found(), []
    monkeypatch.setattr(lift_working, "rate", lambda *_, **__: pytest.fail("rated again"))
    monkeypatch.setattr(base_figures, "line", lambda *a, **k: made.append("line") or printed_line(*a, **k))
    monkeypatch.setattr(workings, "data", lambda *a: made.append("data") or data(*a))
    assert sources_used(assessment)
    assert made.count("data") <= 1 and made.count("line") < 10
