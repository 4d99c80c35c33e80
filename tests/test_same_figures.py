"""One figure, everywhere the same: read back from each output by its label and held against the assessment's value.

Each is compared by decimal arithmetic under the rule of rounding, which is written here a second time: a figure with
an interval bears two digits of its half-width, any other has the decimals of its column.
"""

import io
import json
import re
import shutil
from dataclasses import replace
from functools import cache
from types import SimpleNamespace

import openpyxl
import pytest
from due_figures import CHANCES, agrees, agrees_chance, due, study_of
from lacking import need
from said_figures import Page, in_figures, in_tables, in_words, of_paper, plain, set_apart

from coreset.assess import assess
from coreset.brief import compare
from coreset.brief.document import document, printed
from coreset.brief.pictures import pictures
from coreset.brief.rendered import html, pdf
from coreset.brief.screen import screen
from coreset.brief.workbook import workbook
from coreset.decision.headline import decision, figures, lines
from coreset.lifting.report import sentences
from coreset.line.report import tables as tables_line
from coreset.money.report import sentences as say_money
from coreset.report.sheets import unused
from coreset.store.folder import read
from coreset.study.report import sentences as say_study
from coreset.study.report import tables as tables_study
from coreset.web.shelf import demo_folder

SEVERAL = ("metric", "us")


@cache
def found(which):
    """The demo weighed; the US one with a decimal comma, so that both styles are read."""
    case = read(demo_folder() if which == "metric" else demo_folder().parent / "tamarack_flat")
    case = case if which == "metric" else replace(case, decimal="comma")
    return assess(case, draws=4_000, resamples=500)


@cache
def drawn(which):
    """Its charts."""
    return pictures(found(which))


def methods(a):
    """The two that are compared."""
    return a.case.baseline, a.case.candidate


def differing(said, which):
    """Figures that are not the assessment's."""
    wanted, wrong = due(found(which)), {}
    for label, text in said.items():
        value, digits = wanted[label]
        right = agrees_chance(text, value) if label in CHANCES else agrees(text, value, digits)
        wrong |= {} if right else {label: (text, value, digits)}
    return wrong


@cache
def said(which, output):
    """Figures of one output by label."""
    a = found(which)
    if output in {"brief", "long form"}:
        return Page(html(a, drawn(which), full=output == "long form")).read(methods(a))
    if output == "screen":
        tables = set_apart(screen(a), _heads(), _patterns(a))
        return in_words(screen(a)) | in_tables(tables, methods(a))
    if output == "pages":
        return _of_pages(a)
    raise AssertionError(output)


def _heads():
    return {
        "Standard time per mold",
        "Standard time per mold and line, with 95 % intervals",
        "Lifting screen, highest index first",
        "Line",
        "Which patterns",
        "Every pattern",
        "Every option against the current method, on the same simulation runs",
        "Mold cycle, with 95 % interval",
        "Load on one person in a shift, today → option",
        "Cash flow by year, means over the simulation runs",
    }


def _patterns(a):
    return {p.pattern for p in a.case.patterns}


def _of_pages(a):
    """First sentences of the pages, and the figures and tables that stand under them."""
    text = [decision(a), *lines(a), *say_money.sentences(a.money)]
    own = in_words(" ".join(text)) | in_figures((f.what, f.value, f.interval) for f in figures(a))
    for pattern in dict.fromkeys(pattern for pattern, _ in a.pooled):
        rows = [row for row in a.pooled.values() if row.pattern == pattern]
        sentence = say_study.standard_answer(rows)
        names = "|".join(re.escape(row.method) for row in rows)
        said = rf"({names}) (?:about )?([\d.]+) s(?:, estimated)? \(95 %: ([\d.]+) to ([\d.]+)\)"
        parts = re.findall(said, sentence)
        assert len(parts) == len(rows), sentence
        for method, *three in parts:
            ends = zip(("", " low", " high"), three, strict=True)
            own |= {f"standard {pattern} {method}{end}": each for end, each in ends}
    for row in tables_study.standards(a.pooled.values()):
        pattern, method, _, _, value, *_ = row.values()
        assert own[f"standard {pattern} {method}"] == value
    for row in tables_line.rates(a.line):
        pattern, method, rate, *_ = row.values()
        three = re.fullmatch(r"([\d.]+) \(([\d.]+) – ([\d.]+)\)", rate).groups()
        ends = zip(("", " low", " high"), three, strict=True)
        own |= {f"molds/h {pattern} {method}{end}": each for end, each in ends}
    worst = re.search(r"the (?:worst|highest) is (\w+) · (.+?) \(([\w ]+)\) at ([\d.]+)", sentences.answer(a.handling))
    pattern, task, method, index = worst.groups()
    return own | {f"index {pattern} {method} {task}": index}


OF_PAGE_ONE = {
    "payback",
    "saving",
    "npv",
    "first",
    "years",
    "rate",
    "chance",
    "worst",
    "bought",
    "missed",
    "evpi",
    "loss",
}
OF_TABLES = {"study", "index", "pace", "molds/h", "seconds", "run", "least"}
LEAST = {
    "brief": OF_PAGE_ONE | OF_TABLES - {"study"} | {"standard", "knowing"},
    "long form": OF_PAGE_ONE | OF_TABLES | {"standard", "cycle", "flow", "knowing"},
    "screen": OF_TABLES | {"payback", "chance"},
    "pages": {"payback", "saving", "npv", "first", "years", "rate", "chance", "standard", "molds/h", "index"},
}
"""Kinds of figures that each output says, so that a table that is not found is told."""


@pytest.mark.parametrize("which", SEVERAL)
@pytest.mark.parametrize("output", LEAST)
def test_each_figure_is_the_assessments_rounded_once(which, output):
    """Every figure of the short brief, the long form, the screen and the pages, by its label."""
    here = said(which, output)
    assert {label.split()[0] for label in here} >= LEAST[output]
    assert differing(here, which) == {}


@pytest.mark.parametrize("which", SEVERAL)
def test_a_figure_that_two_outputs_say_is_the_same_figure(which):
    """Word for word the same digits in the short brief, the long form, the screen and the pages."""
    everything = {output: said(which, output) for output in LEAST}
    assert set(everything["brief"]) <= set(everything["long form"])
    for label in set().union(*everything.values()):
        texts = {output: there[label] for output, there in everything.items() if label in there}
        assert len(set(texts.values())) == 1, (label, texts)
    shared = [label for label in everything["brief"] if label in everything["screen"] or label in everything["pages"]]
    assert len(shared) >= 20


@pytest.mark.slow
@pytest.mark.parametrize("which", SEVERAL)
@pytest.mark.parametrize("full", [False, True])
def test_what_stands_on_paper_is_what_stands_on_the_page(which, full, tmp_path):
    """Figures that poppler reads out of the PDF are those of the HTML file."""
    need(shutil.which("pdftotext"), "NO PDFTOTEXT: the figures of the PDF were not read; apt-get install poppler-utils")
    a = found(which)
    paper = of_paper(pdf(a, drawn(which), full=full), tmp_path / "brief.pdf", _heads(), _patterns(a), methods(a))
    page = said(which, "long form" if full else "brief")
    assert len(paper) >= (20 if which == "metric" else 10)
    assert {label: text for label, text in paper.items() if page[label] != text} == {}


@pytest.mark.parametrize("which", SEVERAL)
def test_the_document_has_the_values_themselves(which):
    """JSON: every figure that the long form says stands there as the assessment has it, none rounded."""
    a, told = found(which), json.loads(printed(document(found(which))))
    money, wanted = told["money"], due(found(which))
    values = {
        "payback": money["payback_years"],
        "payback low": money["payback_spread"]["low"],
        "payback high": money["payback_spread"]["high"],
        "saving": money["saving_at_means"],
        "npv": money["npv_at_means"],
        "npv low": money["npv_spread"]["low"],
        "npv high": money["npv_spread"]["high"],
        "first cost": money["first_cost"],
        "evpi": money["evpi"],
        "bought": money["loss_if_bought"],
        "missed": money["loss_if_not"],
        "irr": money["irr"][0],
        "chance payback": money["chance_payback"],
        "chance npv": money["chance_npv_positive"],
    }
    for row in told["standards"]:
        name = study_of(SimpleNamespace(**row))
        values |= {
            name: row["standard_s"],
            f"{name} low": row["standard_low_s"],
            f"{name} high": row["standard_high_s"],
        }
    for row in told["line"]:
        name = f"molds/h {row['pattern']} {row['method']}"
        values |= {name: row["molds_per_h"], f"{name} low": row["low"], f"{name} high": row["high"]}
    for row in told["mold_cycles"]:
        values[f"cycle {row['pattern']} {row['method']}"] = row["mean_s"]
    for row in told["handling"]:
        if row["li"] is not None:
            values[f"index {row['pattern']} {row['method']} {row['task']}"] = row["li"]
    for row in money["patterns"]:
        values |= {
            f"saving {row['pattern']}": row["saving_per_year"],
            f"seconds {row['pattern']}": row["seconds_saved"],
        }
    for row in money["cash_flow"]:
        values[f"flow {row['year']}"] = row["total"]
    assert {label: value for label, value in values.items() if value != wanted[label][0]} == {}
    said = " ".join(json.loads(printed(document(a)))["decision"]["lines"])
    assert in_words(said.replace(",", ".")) == in_words(" ".join(lines(a)).replace(",", "."))


@pytest.mark.parametrize("which", SEVERAL)
def test_the_workbook_shows_the_same_values(which):
    """Cells by name hold the assessment's values unrounded; its first sheet says the sentence of the brief."""
    a, wanted = found(which), due(found(which))
    book = openpyxl.load_workbook(io.BytesIO(workbook(a)), data_only=True)

    def cell(name):
        sheet, at = next(iter(book.defined_names[name].destinations))
        return book[sheet][at]

    values = {"npv mean": "npv_of_runs_", "payback": "payback_of_runs_", "rate": "discount_rate"}
    values |= {f"study {row.study}": unused(f"standard_{row.study}", set()) for row in a.standards if row.study}
    for label, name in values.items():
        assert cell(name).value == pytest.approx(wanted[label][0], rel=1e-12), label
    for label in ("npv", "payback"):
        ends = [cell(f"{label}_of_runs_").offset(column=step).value for step in (1, 2)]
        assert ends == pytest.approx([wanted[f"{label} {end}"][0] for end in ("low", "high")], rel=1e-12)
    assert cell("npv").value == pytest.approx(a.money.npv_at_means, rel=1e-12)
    for row in a.line:
        method = {a.money.baseline: "rate_today", a.money.candidate: "rate_proposed"}[row.method]
        mean = cell(f"{method}_{row.pattern}")
        beside = [mean.offset(column=step).value for step in (2, 3, 4)]
        assert beside == pytest.approx([row.low, row.molds_per_h, row.high], rel=1e-12)
        assert mean.value == pytest.approx(row.molds_per_h, rel=5e-3) and row.low < mean.value < row.high
        assert "own figure" in mean.offset(column=6).value
    ends = {}
    for row in a.handling:
        if row.applies and row.li is not None:
            name = unused(f"LI_{row.task}_{row.end}", set())
            ends[row.task] = (cell(name).value, row.li)
    assert ends and all(value == pytest.approx(li, rel=1e-12) for value, li in ends.values())
    first = " ".join(str(row[0].value) for row in book.worksheets[0].iter_rows())
    assert in_words(first) == in_words(" ".join([decision(a), *lines(a)]))


@pytest.mark.parametrize("which", SEVERAL)
def test_two_cases_side_by_side_say_what_each_brief_says(which):
    """Compare: payback, worth, saving, chance and indices of a case are those of its brief."""
    a, brief = found(which), said(which, "brief")
    rows = {row["what"] if "what" in row else next(iter(row.values())): row["A"]
            for row in compare.changed_rows(a, a, ("A", "B"))}  # fmt: skip
    text = " | ".join(rows.values())
    for label in ("payback", "npv", "saving", "first cost", "worst before", "worst after"):
        assert brief[label] in plain(text), label


@pytest.mark.parametrize("output", LEAST)
def test_any_figure_that_is_off_by_its_last_digit_is_told(output):
    """The comparison can fail: each figure in turn, changed in the last digit that it shows, is the one named."""
    for label, text in said("metric", output).items():
        at = max((i for i, sign in enumerate(text) if sign in "123456789"), default=None)
        if at is None:
            continue
        off = text[:at] + str(int(text[at]) % 9 + 1) + text[at + 1 :]
        assert set(differing({**said("metric", output), label: off}, "metric")) == {label}
