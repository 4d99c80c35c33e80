"""Workbooks of the declared cash flow for tests: written as delivered, recalculated by LibreOffice."""

import shutil
import subprocess
from types import SimpleNamespace

import openpyxl
import xlsxwriter
from lacking import need

from coreset.case import Money, Range
from coreset.figures.arrays import evaluate, given
from coreset.figures.layout import SHEETS, layout
from coreset.figures.sheet import cells
from coreset.money.base_case import BaseCase
from coreset.money.figures import MODEL
from coreset.money.report.input_sources import ranges
from coreset.money.report.model_sheets import write_model
from coreset.report.sheets import FORMATS, WorkbookFile

RECALCULATE = (
    '<?xml version="1.0" encoding="UTF-8"?><oor:items xmlns:oor="http://openoffice.org/2001/registry">'
    '<item oor:path="/org.openoffice.Office.Calc/Formula/Load"><prop oor:name="OOXMLRecalcMode" oor:op="fuse">'
    "<value>0</value></prop></item></oor:items>"
)
"""Settings of a profile in which every formula is recalculated when a file is opened."""
MONEY = Money(setter_price=Range.exactly(1.0), wage_per_h=Range.exactly(1.0), discount_rate=0.1)
CASE = SimpleNamespace(currency="EUR", money=MONEY, patterns=(), growth=(), setter=SimpleNamespace(source=""))
"""Currency and sources of workbooks that are written without a case."""


def model_values(inputs, size, model=MODEL):
    """Every input and figure of a model at fixed values."""
    return given(model, inputs, size) | evaluate(model, inputs, size, keep=model.figures)


def write_delivered(path, inputs, size, codes):
    """The sheets of the cash flow as the brief's workbook has them; where everything stands."""
    base = BaseCase(
        patterns=tuple(codes), years=size.years, size=size, inputs=inputs, values=model_values(inputs, size), ends={}
    )
    with xlsxwriter.Workbook(str(path)) as file:
        book = WorkbookFile(file=file, formats={name: file.add_format(look) for name, look in FORMATS.items()})
        return write_model(book, base, CASE, ranges(CASE, base))


def write_plain(path, model, inputs, size, codes):
    """All cells of any model, without words around them; where everything stands."""
    plan = layout(model, codes, size.years)
    with xlsxwriter.Workbook(str(path)) as book:
        sheets = {key: book.add_worksheet(plan.title(key)) for key in SHEETS}
        for cell in cells(plan, model_values(inputs, size, model)):
            if cell.formula:
                sheets[cell.sheet].write_formula(cell.row, cell.column, cell.formula, None, cell.value)
            else:
                sheets[cell.sheet].write(cell.row, cell.column, cell.value)
            if cell.name:
                column = xlsxwriter.utility.xl_col_to_name(cell.column)
                book.define_name(cell.name, f"='{plan.title(cell.sheet)}'!${column}${cell.row + 1}")
    return plan


def recalculated(paths, folder):
    """The workbooks after LibreOffice has recalculated every formula, in one call."""
    office = shutil.which("soffice") or shutil.which("libreoffice")
    need(office, "NO LIBREOFFICE: the workbook was not recalculated here; apt-get install libreoffice-calc")
    profile, out = folder / "profile", folder / "recalculated"
    (profile / "user").mkdir(parents=True)
    (profile / "user" / "registrymodifications.xcu").write_text(RECALCULATE, encoding="utf-8")
    command = [
        office,
        "--headless",
        f"-env:UserInstallation=file://{profile}",
        "--convert-to",
        "xlsx:Calc MS Excel 2007 XML",
    ]
    subprocess.run([*command, "--outdir", str(out), *map(str, paths)], check=True, capture_output=True, timeout=280)
    return {path.name: openpyxl.load_workbook(out / path.name, data_only=True) for path in paths}
