"""What must hold between the rows of the money and the rest of a case. In: records with their spots. Out: faults."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from coreset.case import Case
from coreset.case.actual import FIRST, SAVED
from coreset.case.option import LEASED, USED, Option
from coreset.case.promise import FIGURES
from coreset.store.folder.check import name_fault, ranges, unique
from coreset.store.folder.faults import Faults, known_name, shown
from coreset.store.folder.tables import Row


def actuals(rows: Sequence[Row], money: Row, faults: Faults) -> None:
    """What was really paid: within the years calculated, first costs in year 0 and only they, nothing paid below 0.

    Parameters
    ----------
    rows : sequence of Row
        Amounts paid, by item and year. [currency]
    money : Row
        Prices, with the years of the calculation.
    faults : Faults
        Takes the faults.
    """
    last = money.value.years if money.value else math.inf
    for row in rows:
        found = row.value
        if found is None:
            continue
        if found.item in FIRST and found.year or found.item not in FIRST and not found.year:
            expected = f"0 for {found.item}" if found.item in FIRST else f"1 or later for {found.item}"
            faults.add(row.spot.fault(found=str(found.year), expected=expected, column="year"))
        elif found.year > last:
            expected = f"at most {last}, the years of the calculation"
            faults.add(row.spot.fault(found=str(found.year), expected=expected, column="year"))
        if found.amount < 0 and found.item not in SAVED:
            expected = "not below 0, since it is what was paid"
            faults.add(row.spot.fault(found=f"{found.amount:g}", expected=expected, column="amount"))


def promised(rows: Sequence[Row], faults: Faults) -> None:
    """What was approved is whole: every figure once, and each number of an item or an input where it belongs."""
    seen: set[tuple[Any, ...]] = set()
    for row in rows:
        if row.value is not None:
            place = (row.value.kind, row.value.item, row.value.pattern, row.value.year)
            if place in seen:
                faults.add(row.spot.fault(found=f"{row.value.item} again", expected="once", column="item"))
            seen.add(place)
    figures = {row.value.item: row for row in rows if row.value is not None and row.value.kind == "figure"}
    if rows and set(figures) != set(FIGURES):
        odd = next((row for name, row in figures.items() if name not in FIGURES), rows[0])
        expected = f"one row of kind figure for each of {', '.join(FIGURES)}"
        faults.add(odd.spot.fault(found=", ".join(figures) or "none", expected=expected, column="item"))
    for row in rows:
        found = row.value
        if found is None or found.kind == "figure":
            continue
        if found.amount is None:
            faults.add(row.spot.fault(found="nothing", expected="a number", column="amount"))
        if found.kind == "item" and found.year is None:
            faults.add(row.spot.fault(found="nothing", expected="the year of the item", column="year"))


def programs(rows: Sequence[Row], faults: Faults) -> None:
    """A program does not end before it starts, a pattern goes over while it is made, volumes are given once."""
    for row in rows:
        found = row.value
        if found is None:
            continue
        for field, first in (("ends_after_year", "starts_in_year"), ("goes_over_in_year", "starts_in_year")):
            if 0 < getattr(found, field) < getattr(found, first):
                expected = f"not before {first} {getattr(found, first)}"
                faults.add(row.spot.fault(found=str(getattr(found, field)), expected=expected, column=field))
        if found.molds_by_year and found.volume_growth:
            expected = "empty where the molds of each year are given"
            faults.add(row.spot.fault(found=f"{found.volume_growth:g}", expected=expected, column="volume_growth"))
        if any(molds < 0 for molds in found.molds_by_year):
            shown_molds = "; ".join(f"{molds:g}" for molds in found.molds_by_year)
            faults.add(row.spot.fault(found=shown_molds, expected="0 or more in each year", column="molds_by_year"))
        if found.molds_by_year and not found.molds_per_year.likely > 0:
            expected = "above 0 where the molds of each year are given: its range is taken in proportion"
            faults.add(row.spot.fault(found="0", expected=expected, column="molds_per_year"))
        if 0 < found.ends_after_year < found.goes_over_in_year:
            expected = f"not after ends_after_year {found.ends_after_year}"
            faults.add(
                row.spot.fault(found=str(found.goes_over_in_year), expected=expected, column="goes_over_in_year")
            )


def options(rows: Sequence[Row], known: Mapping[str, Any], faults: Faults) -> None:
    """Options are named once and not as a method, name methods and patterns that there are, and give their reason.

    Parameters
    ----------
    rows : sequence of Row
        Options.
    known : mapping
        Names of methods and of patterns.
    faults : Faults
        Takes the faults.
    """
    unique(rows, ["option"], faults)
    for row in rows:
        option = row.value
        name_fault(row, "method", known["methods"], faults)
        ranges(row, faults)
        if row.word("option") in {*known["methods"], LEASED, USED}:
            found = shown(row.word("option"))
            faults.add(row.spot.fault(found=found, expected="a name that no method has", column="option"))
        name_fault(row, "hand_method", known["methods"], faults)
        for column in ("patterns", "by_hand"):
            for code in getattr(option, column) if option else ():
                if code not in known["patterns"]:
                    expected = known_name(code, list(known["patterns"]))
                    faults.add(row.spot.fault(found=shown(code), expected=expected, column=column))
        if option:
            _by_hand(row, option, known, faults)
        if option and option.rule and not option.reason.strip():
            expected = f"the reason why it is {option.rule}"
            faults.add(row.spot.fault(found="nothing", expected=expected, column="reason"))


def _by_hand(row: Row, option: Option, known: Mapping[str, Any], faults: Faults) -> None:
    """Patterns improved by hand are not the setter's too; their method needs no setter and has the crew of today."""
    if both := set(option.by_hand) & set(option.patterns):
        faults.add(
            row.spot.fault(found=shown(min(both)), expected="a pattern that is not in patterns", column="by_hand")
        )
    if not (option.by_hand or option.hand_method) or option.hand_method in known["by_hand"] and option.by_hand:
        return
    column = "hand_method" if option.by_hand else "by_hand"
    words = "a method by hand with as many operators as the current method" if option.by_hand else "patterns"
    faults.add(row.spot.fault(found=shown(getattr(option, column) or "nothing"), expected=words, column=column))


def zero_limits(case: Case) -> list[str]:
    """Limits of `case.money` that are 0 and so allow nothing; version 0.1.0 read 0 as no limit."""
    return [field for field in ("budget", "mask_places") if getattr(case.money, field) == 0]
