"""The unit that a field of a form shows in its label. In: a field of the case, unit set, currency. Out: text."""

from __future__ import annotations

from dataclasses import Field
from typing import Any

from coreset.case import shown_unit
from coreset.money.figures import MODEL
from coreset.money.report import base_figures
from coreset.text import message, say

SHARE = "share"


def unit_of(field: Field[Any], units: str, currency: str) -> str:
    """Unit of a number, of a range or of several numbers; empty for a bare count, an index or a text.

    Parameters
    ----------
    field : dataclasses.Field
        Of a kind of value of the case.
    units : str
        Unit set of the case.
    currency : str
        Currency of the case; without it the word for money stands in its place.
    """
    if shown := shown_unit(field, units):
        return message(shown)
    money = currency or say("front.unit.money")
    if counted := field.metadata.get("counted_in"):
        return say("front.unit.share") if counted == SHARE else message(counted).format(currency=money)
    declared = MODEL.inputs.get(field.name)
    return base_figures.shown_unit(declared.unit, money) if declared is not None else ""
