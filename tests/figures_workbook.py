"""Workbooks of the declared cash flow for tests: written, changed by openpyxl, recalculated by LibreOffice."""

import shutil
import subprocess

import openpyxl
import xlsxwriter
from lacking import need

from coreset.figures.arrays import evaluate, given
from coreset.figures.layout import layout
from coreset.figures.sheet import cells
from coreset.money.figures import MODEL

RECALCULATE = (
    '<?xml version="1.0" encoding="UTF-8"?><oor:items xmlns:oor="http://openoffice.org/2001/registry">'
    '<item oor:path="/org.openoffice.Office.Calc/Formula/Load"><prop oor:name="OOXMLRecalcMode" oor:op="fuse">'
    "<value>0</value></prop></item></oor:items>"
)
"""Settings of a profile in which every formula is recalculated when a file is opened."""


def model_values(inputs, size, model=MODEL):
    """Every input and figure of a model at fixed values."""
    return given(model, inputs, size) | evaluate(model, inputs, size, keep=model.figures)


def write_model(path, inputs, size, codes, model=MODEL):
    """Write all cells of a model into a plain workbook; what each formula should come to, by sheet, row, column."""
    plan = layout(model, codes, size.years)
    book = xlsxwriter.Workbook(str(path))
    sheets = {
        name: book.add_worksheet(name) for name in ("Results", "Inputs", "Patterns", "Years", "PatternYears", "Pairs")
    }
    for time in range(size.years + 1):
        sheets["Years"].write_number(plan.places["year"].row, 3 + time, time)
    for cell in cells(plan, model_values(inputs, size, model)):
        sheet = sheets[cell.sheet]
        if cell.formula:
            sheet.write_formula(cell.row, cell.column, cell.formula, None, cell.value)
        else:
            sheet.write(cell.row, cell.column, cell.value)
        if cell.name:
            column, row = xlsxwriter.utility.xl_col_to_name(cell.column), cell.row + 1
            book.define_name(cell.name, f"={cell.sheet}!${column}${row}")
    book.close()
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
