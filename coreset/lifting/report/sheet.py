"""Sheets of the lifting screen: printed tables, and each end of each task with its multipliers as live formulas."""

from __future__ import annotations

from typing import Any

from coreset.case import UNIT_SETS
from coreset.lifting.constants import COUPLINGS, DURATIONS, constants, frequency_table
from coreset.lifting.screen import postures
from coreset.report.sheets import WorkbookFile, heads
from coreset.sources import table
from coreset.text import say

TABLE_ROW = 4
LIMIT_ROW = 22
COUPLING_ROW = 26
INPUTS = ("mass", "horizontal", "vertical", "travel", "angle_deg", "frequency_per_min", "duration", "coupling")
FIRST_INPUT, PACE = 3, 8


def write_tables(book: WorkbookFile, units: str) -> str:
    """The printed tables and constants that the formulas read; the name of the sheet."""
    sheet = book.sheet("tables", [26, *[12] * 7])
    heads(book, sheet, TABLE_ROW - 1, "workbook.heads.frequency")
    printed = table("waters1994/table5_frequency")
    columns = [f"{duration}_{end}" for duration in DURATIONS for end in ("low", "high")]
    for i, row in enumerate(printed.rows):
        sheet.write_number(TABLE_ROW + i, 0, float(row["frequency_per_min"]))
        for j, column in enumerate(columns):
            sheet.write_number(TABLE_ROW + i, 1 + j, float(row[column]))
        sheet.write_string(TABLE_ROW + i, 7, printed.row_status(row), book.formats["label"])
    last = TABLE_ROW + len(printed.rows)
    sheet.write_string(LIMIT_ROW, 0, say("workbook.last_row"))
    for j in range(len(columns)):
        letter = chr(ord("B") + j)
        span = f"{letter}{TABLE_ROW + 1}:{letter}{last}"
        formula = f"=SUMPRODUCT(MAX(({span}>0)*$A${TABLE_ROW + 1}:$A${last}))"
        sheet.write_formula(LIMIT_ROW, 1 + j, formula, None, float(frequency_table().limit_per_min[j]))
    heads(book, sheet, COUPLING_ROW - 1, "workbook.heads.coupling")
    holds = {row["coupling"]: row for row in table("waters1994/table7_coupling").rows}
    for i, coupling in enumerate(COUPLINGS):
        sheet.write_string(COUPLING_ROW + i, 0, coupling)
        sheet.write_number(COUPLING_ROW + i, 1, float(holds[coupling]["cm_low"]))
        sheet.write_number(COUPLING_ROW + i, 2, float(holds[coupling]["cm_high"]))
    _write_constants(book, sheet, units)
    return sheet.get_name()


def _write_constants(book: WorkbookFile, sheet: Any, units: str) -> None:
    c = constants(units)
    start = COUPLING_ROW + len(COUPLINGS) + 2
    sheet.write_string(start - 1, 0, say("workbook.constants"), book.formats["head"])
    named = {f: getattr(c, f) for f in type(c).__dataclass_fields__ if isinstance(getattr(c, f), float)}
    for i, (name, value) in enumerate(named.items()):
        sheet.write_string(start + i, 0, name)
        sheet.write_number(start + i, 1, value, book.formats["input"])
        book.file.define_name(f"niosh_{name}", f"='{sheet.get_name()}'!$B${start + i + 1}")


def formulas(row: int, tables: str) -> dict[str, str]:
    """Formulas of one end in a row of the sheet (counted from 1), by symbol.

    H, V, D, A, F, duration and coupling stand in columns E to K, the mass in D.
    """
    h, v, d, a, f = (f"{letter}{row}" for letter in "EFGHI")
    t = f"'{tables}'!"
    high = f"IF({v}>=niosh_vertical_reference,1,0)"
    column = f"(2*(MATCH(J{row},{{{_listed(DURATIONS)}}},0)-1)+{high}+1)"
    last = TABLE_ROW + len(table("waters1994/table5_frequency").rows)
    per_min = f"{t}$A${TABLE_ROW + 1}:$A${last}"
    values = f"{t}$B${TABLE_ROW + 1}:$G${last}"
    limits = f"{t}$B${LIMIT_ROW + 1}:$G${LIMIT_ROW + 1}"
    held = f"MAX({f},niosh_frequency_floor)"
    at = f"MIN(MATCH({held},{per_min},1),{last - TABLE_ROW - 1})"
    low, above = f"INDEX({values},{at},{column})", f"INDEX({values},{at}+1,{column})"
    step = f"({held}-INDEX({per_min},{at}))/(INDEX({per_min},{at}+1)-INDEX({per_min},{at}))"
    holds = f"{t}$B${COUPLING_ROW + 1}:$C${COUPLING_ROW + len(COUPLINGS)}"
    bad_d = f"{d}>niosh_travel_limit"
    return {
        "hm": f"=IF({h}>niosh_horizontal_limit,0,MIN(1,niosh_horizontal_free/{h}))",
        "vm": f"=IF({v}>niosh_vertical_limit,0,1-niosh_vertical_slope*ABS({v}-niosh_vertical_reference))",
        "dm": f"=IF({bad_d},0,IF({d}<=niosh_travel_free,1,niosh_travel_constant+niosh_travel_slope/{d}))",
        "am": f"=IF({a}>niosh_asymmetry_limit,0,1-niosh_asymmetry_slope*{a})",
        "fm": f"=IF({held}>INDEX({limits},1,{column}),0,{low}+({above}-{low})*{step})",
        "cm": f"=INDEX({holds},MATCH(K{row},{{{_listed(COUPLINGS)}}},0),{high}+1)",
        "rwl": f"=niosh_load_constant*L{row}*M{row}*N{row}*O{row}*P{row}*Q{row}",
        "li": f'=IF(R{row}>0,D{row}/R{row},"")',
    }


def _listed(words: tuple[str, ...]) -> str:
    return ",".join(f'"{word}"' for word in words)


def write_lifts(book: WorkbookFile, assessment: Any, tables: str) -> None:
    """Every rated end of every task: measured values as inputs, multipliers, RWL and LI as formulas.

    Parameters
    ----------
    book : WorkbookFile
        Workbook that is written.
    assessment : Assessment
        Screened lifts of a case.
    tables : str
        Name of the sheet with the printed tables.
    """
    case = assessment.case
    sheet = book.sheet("lifts", [26, 12, 12, 9, *[9] * 5, 11, 10, *[8] * 6, 9, 9])
    units = UNIT_SETS[case.units]
    heads(book, sheet, 2, "workbook.heads.lifts", mass=units["mass"], length=units["length"])
    sheet.freeze_panes(3, 1)
    lifts = {lift.task: lift for lift in case.lifts}
    row = 3
    for found in assessment.handling:
        if not found.applies:
            continue
        ends = postures(case, lifts[found.task], frequency_per_min=found.frequency_per_min, duration=found.duration)
        for end, posture in ends.items():
            _write_end(book, sheet, row, found, end, posture, tables)
            row += 1
    sheet.write_string(1, 0, say("workbook.lift_note"), book.formats["aside"])


def _write_end(book: WorkbookFile, sheet: Any, row: int, found: Any, end: str, posture: Any, tables: str) -> None:
    for column, words in enumerate((found.task, found.method, say(f"handling.end.{end}"))):
        sheet.write_string(row, column, words)
    values = [found.mass, *(float(getattr(posture, name)) for name in INPUTS[1:6])]
    for column, value in enumerate(values, start=FIRST_INPUT):
        sheet.write_number(row, column, value, book.formats["input_fine" if column == PACE else "input"])
    for column, (words, choice) in enumerate(((found.duration, DURATIONS), (posture.coupling, COUPLINGS)), start=9):
        sheet.write_string(row, column, words, book.formats["input_text"])
        sheet.data_validation(row, column, row, column, {"validate": "list", "source": list(choice)})
    rated = getattr(found, end)
    for column, (name, formula) in enumerate(formulas(row + 1, tables).items(), start=11):
        value = getattr(rated, name)
        sheet.write_formula(row, column, formula, book.formats["fine"], "" if value is None else value)
    book.name(f"LI_{found.task}_{end}", sheet, row, 18)
