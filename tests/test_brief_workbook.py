"""The workbook: formulas that LibreOffice recalculates to our figures, inputs that move them, text that stays text."""

import io
import math
import shutil
import subprocess
from dataclasses import replace
from types import SimpleNamespace

import openpyxl
import pytest
from brief_case import assessment
from lacking import need

from coreset.brief.workbook import workbook
from coreset.money.report.names import item_name
from coreset.report.sheets import unused
from coreset.store.folder import read
from coreset.study.standard import standard_of
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


@pytest.mark.slow
@pytest.mark.usefixtures("office")
def test_the_money_comes_out_the_same(calculated):
    """NPV, IRR and both paybacks by LibreOffice agree with ours to 1e-9."""
    money = assessment().money
    wanted = {
        "npv_": money.npv,
        "irr_": money.irr[0],
        "payback_": money.payback_years,
        "payback_discounted_": money.discounted_payback_years,
    }
    for name, value in wanted.items():
        found = named(calculated, name).value
        assert found == ("never" if math.isinf(value) else pytest.approx(value, rel=REL)), name


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
def test_the_flow_comes_out_the_same(calculated):
    """Every item of every year by LibreOffice, and each year's total and sums, agree with ours to 1e-9."""
    money, sheet = assessment().money, calculated["Cash flow"]
    rows = {str(row[0].value): row for row in reversed(list(sheet.iter_rows()))}
    names = list(dict.fromkeys(name for year in money.cash_flow for name in year.parts))
    for column, year in enumerate(money.cash_flow, start=2):
        for name in names:
            assert rows[item_name(name)][column].value == pytest.approx(year.parts.get(name, 0.0), rel=REL, abs=1e-6)
        for label, value in (("total", year.total), ("cumulated", year.cumulative)):
            assert rows[label][column].value == pytest.approx(value, rel=REL, abs=1e-6), (label, year.year)


@pytest.mark.slow
@pytest.mark.usefixtures("office")
def test_every_limit_comes_out_the_same(calculated):
    """RWL of both ends of every rated task by LibreOffice agrees with ours to 1e-9."""
    found = [getattr(row, end).rwl for row in assessment().handling if row.applies for end in ("origin", "destination")]
    sheet = [row for row in calculated["Lifts"].iter_rows(min_row=4) if row[0].value]
    assert [row[17].value for row in sheet] == pytest.approx(found, rel=REL)


def test_intervals_say_that_they_are_not_live():
    """Beside each interval stand its ends as written and the words that they do not follow changed inputs."""
    book = openpyxl.load_workbook(io.BytesIO(workbook(assessment())))
    for name, spread in (("npv_", assessment().money.npv_spread), ("payback_", assessment().money.payback_spread)):
        row = named(book, name).row
        low, high, words = (book["Cash flow"].cell(row, column).value for column in (3, 4, 5))
        assert low == pytest.approx(spread.low) and (high == pytest.approx(spread.high) or high == "never")
        assert "does not follow changed inputs" in words
    assert any("as at the time of writing" in str(row[0].value) for row in book["Decision"].iter_rows())


@pytest.mark.slow
@pytest.mark.usefixtures("office")
def test_an_input_that_is_changed_moves_the_result(tmp_path):
    """A dearer setter lowers NPV by the difference in its mean price; a higher wage raises it."""
    found, data = assessment(), workbook(assessment())
    likely = found.case.money.setter_price.likely
    dearer = named(recalculated(data, tmp_path / "a", setter_price_=likely * 1.1), "npv_").value
    assert dearer == pytest.approx(found.money.npv + 0.1 * found.money.cash_flow[0].parts["setter"], rel=REL)
    better = named(recalculated(data, tmp_path / "b", wage_per_h_=found.case.money.wage_per_h.likely * 2), "npv_").value
    assert better > found.money.npv


@pytest.mark.slow
@pytest.mark.usefixtures("office")
def test_standards_come_out_the_same(tmp_path):
    """Standard times of the demo's studies by LibreOffice, from element means, agree with ours to 1e-9."""
    found = assessment()
    case = read(demo_folder())
    rows = tuple(standard_of(case, study, resamples=200) for study in case.studies)
    data = workbook(SimpleNamespace(**{**vars(found), "standards": rows}))
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
    data = workbook(SimpleNamespace(**{**vars(found), "case": case, "handling": rows}))
    book = openpyxl.load_workbook(io.BytesIO(data))
    typed = [
        cell for sheet in book for line in sheet.iter_rows() for cell in line if str(cell.value).startswith("=1+1")
    ]
    tasks = [cell for line in book["Lifts"].iter_rows(max_col=1) for cell in line if "HYPERLINK" in str(cell.value)]
    assert [cell.data_type for cell in typed] == ["s"] and {cell.data_type for cell in tasks} == {"s"}
    assert not any(cell.hyperlink for sheet in book for line in sheet.iter_rows() for cell in line)
