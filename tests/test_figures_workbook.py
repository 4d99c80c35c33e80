"""The workbook is the model: changed in a spreadsheet program it comes to what the program says, cell by cell."""

import math
from itertools import combinations

import numpy as np
import openpyxl
import pytest
import xlsxwriter
from figures_cases import CHANGES, DEMO, SIZE, demo_inputs
from figures_workbook import model_values, recalculated, write_model

from coreset.errors import CoresetError
from coreset.figures import Figure, FormulaError, Input, Model, Size
from coreset.figures.layout import layout, suffixes
from coreset.figures.sheet import cells

PAIRS = tuple(combinations(CHANGES, 2))[::9]
CASES = [((), True), *(((name,), False) for name in CHANGES), *((pair, False) for pair in PAIRS)]
CASES += [(pair, True) for pair in PAIRS[:3]] + [(CHANGES, False), (CHANGES, True)]


def named_cell(book, name):
    """The cell behind a defined name."""
    sheet, place = book.defined_names[name].attr_text.split("!")
    return book[sheet][place.replace("$", "")]


def change(book, name):
    """Make one of the demo's changes in the cell that bears its name."""
    told = DEMO["changes"][name]
    place = told["place"]
    suffix = "".join([f"_{DEMO['patterns'][place[0]]}" if place else "", f"_{place[1] + 1}" if place[1:] else ""])
    cell = named_cell(book, told["key"] + suffix)
    assert cell.value != told["value"]
    cell.value = told["value"]


@pytest.fixture(scope="module")
def changed_workbooks(tmp_path_factory):
    """The demo's workbook with each case's inputs changed in it and recalculated, beside its layout."""
    folder = tmp_path_factory.mktemp("figures")
    plans = {
        tax: write_model(folder / f"base_{tax}.xlsx", demo_inputs(tax=tax), SIZE, DEMO["patterns"])
        for tax in (False, True)
    }
    paths = []
    for number, (names, tax) in enumerate(CASES):
        book = openpyxl.load_workbook(folder / f"base_{tax}.xlsx")
        for name in names:
            change(book, name)
        paths.append(folder / f"case_{number}.xlsx")
        book.save(paths[-1])
    return plans[True], recalculated(paths, folder)


def same(got, expected):
    """Whether a recalculated value is the program's: words alike, numbers to 1e-9."""
    if isinstance(expected, str) or not isinstance(got, int | float):
        return got == expected
    return math.isclose(got, expected, rel_tol=1e-9, abs_tol=1e-7)


@pytest.mark.slow
@pytest.mark.parametrize("number", range(len(CASES)))
def test_every_formula_recalculated_equals_the_program(changed_workbooks, number):
    """12 inputs singly and in pairs, all together, without and with tax and volumes by year."""
    names, tax = CASES[number]
    plan, books = changed_workbooks
    book, compared = books[f"case_{number}.xlsx"], 0
    for cell in cells(plan, model_values(demo_inputs(*names, tax=tax), SIZE)):
        if not cell.formula:
            continue
        got = book[cell.sheet].cell(cell.row + 1, cell.column + 1).value
        assert same(got, cell.value) or (cell.key == "irr" and got == "none" and cell.value < -0.2), (cell, got)
        compared += 1
    assert compared > 1500


@pytest.mark.slow
def test_recalculation_is_really_on(tmp_path):
    """A false cached value does not survive; without the profile's setting it would."""
    book = xlsxwriter.Workbook(str(tmp_path / "false.xlsx"))
    book.add_worksheet("A").write_formula(0, 0, "=1+1", None, 99)
    book.close()
    assert recalculated([tmp_path / "false.xlsx"], tmp_path)["false.xlsx"]["A"]["A1"].value == 2


def test_no_cached_value_is_empty_and_every_input_has_a_name(tmp_path):
    """As delivered, every formula has its value; each input of the case is a cell with its key as name."""
    plan = write_model(tmp_path / "a.xlsx", demo_inputs(), SIZE, DEMO["patterns"])
    formulas, values = (openpyxl.load_workbook(tmp_path / "a.xlsx", data_only=only) for only in (False, True))
    for cell in cells(plan, model_values(demo_inputs(), SIZE)):
        if cell.formula:
            assert str(formulas[cell.sheet].cell(cell.row + 1, cell.column + 1).value).startswith("=")
        assert values[cell.sheet].cell(cell.row + 1, cell.column + 1).value is not None, cell
    for name in ("wage_per_h", "setter_price", "line_crew", "molds_per_year_HB10", "moved_PC03", "volume_share_HB10_5"):
        assert named_cell(values, name).value is not None
    for name in ("npv", "irr", "payback_years", "discounted_payback_years", "first_cost", "saving_year_1"):
        assert str(named_cell(formulas, name).value).startswith("=")


def test_names_that_would_be_cells_or_come_twice():
    """Codes of patterns become ends of names that differ without regard to case; a key like a cell is refused."""
    assert suffixes(["AB 1", "ab-1", "Ä"]) == ("AB_1", "ab_1_2", "_")
    with pytest.raises(FormulaError, match="tax2024"):
        Model([Input("tax2024", "1", "like a cell")])
    model = Model([Input("a_b", "1", "one", "p"), Input("a_b_c", "1", "another", "p")])
    plan = layout(model, ["c_d", "d"], 1)
    values = {key: np.ones((2, 1, 1)) for key in model.inputs}
    with pytest.raises(CoresetError, match="a_b_c_d"):
        list(cells(plan, values))


@pytest.mark.slow
def test_signs_powers_and_rounding_as_python_has_them(tmp_path):
    """-2**2, 2**3**2 and rounding up of a negative number differ between sheets and Python."""
    declared = [
        Input("two", "1", "two"),
        Figure("minus_square", "1", "minus", "-two ** 2"),
        Figure("tower", "1", "tower", "two ** (two + 1) ** two"),
        Figure("up", "1", "rounded up", "ceil(-two / (two + 1))"),
    ]
    model = Model(declared)
    plan = write_model(tmp_path / "p.xlsx", {"two": 2}, Size(patterns=1, years=1), ["A1"], model)
    book = recalculated([tmp_path / "p.xlsx"], tmp_path)["p.xlsx"]
    got = {
        c.key: book[c.sheet].cell(c.row + 1, c.column + 1).value
        for c in cells(plan, model_values({"two": 2}, Size(patterns=1, years=1), model))
    }
    assert (got["minus_square"], got["tower"], got["up"]) == (-4, 512, 0)
