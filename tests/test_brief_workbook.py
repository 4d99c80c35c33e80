"""The workbook: formulas that LibreOffice recalculates to our figures, inputs that move them, text that stays text."""

import io
import math
import shutil
import subprocess
from dataclasses import replace

import numpy as np
import openpyxl
import pytest
from brief_case import Given, assessment
from lacking import need

from coreset.brief.workbook import workbook
from coreset.figures import evaluate
from coreset.figures.layout import SHEETS, layout
from coreset.figures.sheet import cells
from coreset.money.figures import MODEL
from coreset.money.report.model_sheets import RESULTS, SECTIONS
from coreset.report.sheets import unused
from coreset.store.folder import read
from coreset.study.standard import standard_of
from coreset.text import say
from coreset.web.shelf import demo_folder

SOFFICE = shutil.which("soffice")
REL = 1e-9


@pytest.fixture(scope="module")
def office():
    """LibreOffice, without which nothing is recalculated."""
    need(SOFFICE, "NO LIBREOFFICE: the workbook was not recalculated here; apt-get install libreoffice-calc")


def named(book, name):
    """The cell that has a name."""
    sheet, cell = next(iter(book.defined_names[name].destinations))
    return book[sheet][cell]


def recalculated(data, folder, **inputs):
    """The workbook with cells changed by name, without any stored result, after LibreOffice has calculated it."""
    book = openpyxl.load_workbook(io.BytesIO(data))
    for name, value in inputs.items():
        named(book, name).value = value
    source = folder / "in" / "book.xlsx"
    source.parent.mkdir(parents=True)
    book.save(source)
    assert "<v>" not in _of_formulas(source)
    profile = f"-env:UserInstallation={(folder / 'profile').as_uri()}"
    command = [SOFFICE, profile, "--headless", "--convert-to", "xlsx", "--outdir", str(folder / "out"), str(source)]
    subprocess.run(command, check=True, capture_output=True, timeout=120)
    return openpyxl.load_workbook(folder / "out" / "book.xlsx", data_only=True)


def _of_formulas(path):
    import re
    import zipfile

    with zipfile.ZipFile(path) as archive:
        sheets = [archive.read(name).decode() for name in archive.namelist() if "worksheets/sheet" in name]
    return "".join(re.findall(r"<f>.*?</f>(<v>[^<]+</v>)?", "".join(sheets)))


@pytest.fixture(scope="module")
def calculated(office, tmp_path_factory):
    """The workbook as it is, recalculated once."""
    return recalculated(workbook(assessment()), tmp_path_factory.mktemp("office"))


def at(book, cell):
    """A cell of the model in the file."""
    return book[say(f"workbook.sheet.{cell.sheet}")].cell(cell.row + 1, cell.column + 1)


def model_cells(base):
    """Cells of the cash flow as the program has them."""
    titles = {key: say(f"workbook.sheet.{key}") for key in SHEETS}
    plan = layout(MODEL, base.patterns, base.years, sections=SECTIONS, results=RESULTS, titles=titles)
    return list(cells(plan, base.values))


@pytest.mark.slow
@pytest.mark.usefixtures("office")
def test_the_money_comes_out_the_same(calculated):
    """Every formula of the cash flow by LibreOffice agrees with the program; NPV is that of mean inputs."""
    money = assessment().money
    for cell in model_cells(money.base):
        expected = cell.value if isinstance(cell.value, str) else pytest.approx(cell.value, rel=REL, abs=1e-6)
        assert at(calculated, cell).value == expected, cell
    assert named(calculated, "npv").value == pytest.approx(money.npv_at_means, rel=REL)


@pytest.mark.slow
@pytest.mark.usefixtures("office")
def test_every_lift_comes_out_the_same(calculated):
    """LI of both ends of every rated task by LibreOffice agrees with ours to 1e-9."""
    rated = [row for row in assessment().handling if row.applies]
    assert rated
    for row in rated:
        for end in ("origin", "destination"):
            name = f"LI_{row.task}_{end}_".replace(" ", "_")
            assert named(calculated, name).value == pytest.approx(getattr(row, end).li, rel=REL), name


@pytest.mark.slow
@pytest.mark.usefixtures("office")
def test_every_limit_comes_out_the_same(calculated):
    """RWL of both ends of every rated task by LibreOffice agrees with ours to 1e-9."""
    found = [getattr(row, end).rwl for row in assessment().handling if row.applies for end in ("origin", "destination")]
    sheet = [row for row in calculated["Lifts"].iter_rows(min_row=4) if row[0].value]
    assert [row[17].value for row in sheet] == pytest.approx(found, rel=REL)


def test_no_cached_value_is_empty_and_formulas_reach_inputs_only():
    """As delivered every formula of every sheet has its value; none of the money reads a sheet that is not its own."""
    data = workbook(assessment())
    formulas, values = (openpyxl.load_workbook(io.BytesIO(data), data_only=only) for only in (False, True))
    for sheet in formulas:
        for cell in (cell for line in sheet.iter_rows() for cell in line if cell.data_type == "f"):
            assert values[sheet.title][cell.coordinate].value not in {None, ""}, (sheet.title, cell.coordinate)
    found = model_cells(assessment().money.base)
    for cell in found:
        text = str(at(formulas, cell).value)
        assert text.startswith("=") == bool(cell.formula)
        assert not any(say(f"workbook.sheet.{key}") in text for key in ("standards", "lifts", "tables", "first"))
    assert sum(bool(cell.formula) for cell in found) > 1000


def test_every_input_has_meaning_unit_source_and_the_name_of_its_key():
    """Each input of the model has named cells, and in its row what it means and who says so; ranges are the case's."""
    a = assessment()
    book = openpyxl.load_workbook(io.BytesIO(workbook(a)))
    for key, each in MODEL.inputs.items():
        ends = {"": [""], "p": [f"_{code}" for code in a.money.base.patterns]}.get(each.axes, [])
        for cell in (named(book, key + end) for end in ends):
            row = [one.value for one in book[cell.parent.title][cell.row]]
            assert each.label in row[0] and row[7], key
            assert row[2] or each.unit == "1", key
    wage = named(book, "wage_per_h")
    told = a.case.money.wage_per_h
    assert [one.value for one in book["Inputs"][wage.row][3:6]] == pytest.approx([told.low, told.likely, told.high])
    assert wage.value == pytest.approx(a.money.base.inputs["wage_per_h"])


def test_what_the_sheets_do_not_work_out_says_so():
    """Simulated results and inputs of other rooms are marked; sheets of times and lifts say that money stays."""
    a = assessment()
    case = read(demo_folder())
    rows = tuple(standard_of(case, study, resamples=200) for study in case.studies[:1])
    book = openpyxl.load_workbook(io.BytesIO(workbook(Given(**{**vars(a), "standards": rows}))))
    for name, spread in (("npv_of_runs_", a.money.npv_spread), ("payback_of_runs_", a.money.payback_spread)):
        cell = named(book, name)
        low, high = (cell.offset(column=step).value for step in (1, 2))
        assert low == pytest.approx(spread.low) and (high == pytest.approx(spread.high) or high == "never")
    assert "does not follow" in book["Results"].cell(named(book, "npv_of_runs_").row - 1, 1).value
    for key, each in MODEL.inputs.items():
        if each.carried and each.axes == "p":
            cell = named(book, f"{key}_{a.money.base.patterns[0]}")
            assert cell.offset(column=6).value.startswith("carried over") and cell.font.italic, key
    said = {sheet.title: " ".join(str(row[0].value) for row in sheet.iter_rows(max_row=3)) for sheet in book}
    assert "not the money" in said["Standards"] and "not the money" in said["Lifts"]
    assert any("as at the time of writing" in str(row[0].value) for row in book["Decision"].iter_rows())


@pytest.mark.slow
@pytest.mark.usefixtures("office")
@pytest.mark.parametrize("taxed", [False, True], ids=["untaxed", "taxed"])
def test_inputs_changed_in_the_brief_s_workbook_move_it_as_the_program(tmp_path, taxed):
    """Price and wage together, with a pattern taken out: every measure is what the program has for these inputs."""
    tax = {"tax_rate": 0.25, "depreciation": "macrs5"} if taxed else {}
    found = assessment(**tax)
    base, data = found.money.base, workbook(found)
    moved, code = np.array(base.inputs["moved"], dtype=float), base.patterns[0]
    moved[0] = 1 - moved[0]
    changes = {"setter_price": 123_456.0, "wage_per_h": 41.5}
    book = recalculated(data, tmp_path, **changes, **{f"moved_{code}": float(moved[0].flat[0])})
    values = evaluate(MODEL, {**base.inputs, **changes, "moved": moved}, base.size, keep=MODEL.figures)
    for name in ("npv", "irr", "first_cost", "saving_year_1", "payback_years", "discounted_payback_years"):
        value = float(values[name].flat[0])
        assert named(book, name).value == ("never" if math.isinf(value) else pytest.approx(value, rel=1e-6)), name


@pytest.mark.slow
@pytest.mark.usefixtures("office")
def test_standards_come_out_the_same(tmp_path):
    """Standard times of the demo's studies by LibreOffice, from element means, agree with ours to 1e-9."""
    found = assessment()
    case = read(demo_folder())
    rows = tuple(standard_of(case, study, resamples=200) for study in case.studies)
    data = workbook(Given(**{**vars(found), "standards": rows}))
    book = recalculated(data, tmp_path)
    assert len(rows) > 5
    for row in rows:
        name = unused(f"standard_{row.study}", set())
        assert named(book, name).value == pytest.approx(row.standard_s, rel=REL), row.study


def test_nothing_that_a_user_typed_is_a_formula_or_a_link():
    """Titles and task names that look like formulas are strings in the file."""
    found = assessment()
    lifts = tuple(replace(lift, task=f'=HYPERLINK("http://x","{lift.task}")') for lift in found.case.lifts)
    case = replace(found.case, title="=1+1", lifts=lifts)
    rows = tuple(replace(row, task=lift.task) for row, lift in zip(found.handling, lifts, strict=True))
    data = workbook(Given(**{**vars(found), "case": case, "handling": rows}))
    book = openpyxl.load_workbook(io.BytesIO(data))
    typed = [
        cell for sheet in book for line in sheet.iter_rows() for cell in line if str(cell.value).startswith("=1+1")
    ]
    tasks = [cell for line in book["Lifts"].iter_rows(max_col=1) for cell in line if "HYPERLINK" in str(cell.value)]
    assert [cell.data_type for cell in typed] == ["s"] and {cell.data_type for cell in tasks} == {"s"}
    assert not any(cell.hyperlink for sheet in book for line in sheet.iter_rows() for cell in line)
