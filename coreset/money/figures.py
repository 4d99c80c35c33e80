"""The cash flow against the current method as one model: every input and every figure declared once."""

from __future__ import annotations

from coreset.figures import Model
from coreset.money.figures_hours import HOURS, LABOR, LEVELS, PEOPLE, SALES
from coreset.money.figures_items import AT_THE_START, OPERATION, SOME_YEARS
from coreset.money.figures_worth import EQUITY, TAX, WORTH
from coreset.money.inputs import INPUTS

FIGURES = (
    *LEVELS,
    *PEOPLE,
    *HOURS,
    *SALES,
    *LABOR,
    *OPERATION,
    *SOME_YEARS,
    *AT_THE_START,
    *TAX,
    *WORTH,
    *EQUITY,
)
MODEL = Model((*INPUTS, *FIGURES))
