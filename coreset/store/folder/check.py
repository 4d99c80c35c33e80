"""What must hold between the parts of a case. In: records with their spots. Out: faults."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import Any

from coreset.case import PLANT_CHANGES, Case, Range, most
from coreset.case.codes import code_faults
from coreset.case.kinds import INDEX, SHARED
from coreset.case.study import PICTURE
from coreset.sources import table
from coreset.store.folder.faults import Faults, known_name, shown
from coreset.store.folder.tables import Row

DAY = re.compile(r"(\d{4}-(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01]))?")
MAY_BE_NEGATIVE = {"residual", "margin_per_casting"}
ABOVE_ZERO = {"molds_per_year"}


def name_fault(row: Row, field: str, names: Iterable[str], faults: Faults) -> None:
    """A field that must name something which there is.

    Parameters
    ----------
    row : Row
        The record.
    field : str
        The field; empty or unread, it names nothing.
    names : iterable of str
        Names that there are; the fault proposes the nearest.
    faults : Faults
        Takes the fault.
    """
    names, value = list(names), row.word(field)
    if value not in ("", None) and value not in names:
        faults.add(row.spot.fault(found=shown(value), expected=known_name(str(value), names), column=field))


def unique(rows: Sequence[Row], fields: Sequence[str], faults: Faults) -> None:
    """No two rows with the same key.

    Parameters
    ----------
    rows : sequence of Row
        Records of one kind.
    fields : sequence of str
        Fields that make the key together; the fault stands at the last.
    faults : Faults
        Takes a fault for each row after the first.
    """
    seen: dict[tuple[Any, ...], Row] = {}
    for row in rows:
        key = tuple(row.word(field) for field in fields)
        first = seen.setdefault(key, row)
        if first is not row and None not in key:
            found = " ".join(shown(part) for part in key)
            where = f"{first.spot.file}, row {first.spot.row}" if first.spot.row else first.spot.table
            faults.add(row.spot.fault(found=f"{found} again", expected=f"once, as in {where}", column=fields[-1]))


def pictures(rows: Iterable[Row], faults: Faults) -> None:
    """A picture is a JPEG as text, never an address elsewhere."""
    for row in rows:
        if row.value is not None and row.value.picture and not row.value.picture.startswith(PICTURE):
            faults.add(row.spot.fault(found=shown(row.value.picture), expected=f"{PICTURE}…", column="picture"))


def codes(rows: Sequence[Row], field: str, held: Collection[str], faults: Faults) -> None:
    """Every code can name a file, and no two of one kind the same file; codes that are held stay as they are.

    Parameters
    ----------
    rows : sequence of Row
        Records of one kind.
    field : str
        Field with the code.
    held : collection of str
        Codes that the case had before, under an older rule perhaps.
    faults : Faults
        Takes the faults.
    """
    found = {word: row for row in rows if (word := row.word(field)) is not None}
    for code, rule in code_faults(found, held).items():
        faults.add(found[code].spot.fault(found=shown(code), expected=rule, column=field))


def ranges(row: Row, faults: Faults) -> None:
    """Low, likely and high in their order; no negative cost or volume; no share above 1; a pattern is made."""
    if row.value is None:
        return
    for name in row.value.__slots__:
        value = getattr(row.value, name)
        if isinstance(value, Range):
            if not value.low <= value.likely <= value.high:
                found = f"{value.low:g}, {value.likely:g}, {value.high:g}"
                faults.add(row.spot.fault(found=found, expected="low <= likely <= high", column=name))
            elif value.low < 0 and name not in MAY_BE_NEGATIVE:
                faults.add(row.spot.fault(found=f"{value.low:g}", expected="not below 0", column=name))
            elif value.high > (limit := most(type(row.value), name)):
                faults.add(row.spot.fault(found=f"{value.high:g}", expected=f"not above {limit:g}", column=name))
            elif name in ABOVE_ZERO and not value.likely > 0:
                expected = "above 0, or no row for a pattern that is not made"
                faults.add(row.spot.fault(found=f"{value.likely:g}", expected=expected, column=name))


def lifts(rows: Sequence[Row], known: Mapping[str, Any], faults: Faults) -> None:
    """A lift handles a core of its pattern or has a mass, has a pace, and says why if the pace is its own.

    Parameters
    ----------
    rows : sequence of Row
        Lifts.
    known : mapping
        Names of patterns, of methods, and of cores by pattern.
    faults : Faults
        Takes the faults.
    """
    unique(rows, ["task"], faults)
    for row in rows:
        name_fault(row, "pattern", known["patterns"], faults)
        name_fault(row, "method", known["methods"], faults)
        if row.word("pattern") in known["patterns"]:
            name_fault(row, "core", known["cores"].get(row.word("pattern"), []), faults)
        lift = row.value
        if lift is None:
            continue
        if not lift.core and not lift.mass:
            faults.add(row.spot.fault(found="neither", expected="a core, or the mass of the load", column="mass"))
        if lift.frequency_per_min and not lift.frequency_reason.strip():
            expected = "a reason, since frequency_per_min overrides what the standard implies"
            faults.add(row.spot.fault(found="nothing", expected=expected, column="frequency_reason"))
        if not (lift.lifts_per_mold or lift.lifts_per_run or lift.frequency_per_min):
            faults.add(row.spot.fault(found="0", expected="lifts_per_mold or lifts_per_run", column="lifts_per_mold"))


def place(row: Row, faults: Faults) -> None:
    """Clothing is a row of the published table; changes that the plant could make have their names."""
    if row.value is None:
        return
    name_fault(row, "clothing", (each["clothing"] for each in table("iso7243_2017/clothing").rows), faults)
    for name in row.value.steps_allowed:
        if name not in PLANT_CHANGES:
            expected = known_name(name, PLANT_CHANGES)
            faults.add(row.spot.fault(found=shown(name), expected=expected, column="steps_allowed"))


def scrap(rows: Sequence[Row], known: Mapping[str, Any], faults: Faults) -> None:
    """Scrap counts name a pattern and a method, and scrap no more than was poured.

    Parameters
    ----------
    rows : sequence of Row
        Scrap counts.
    known : mapping
        Names of patterns and of methods.
    faults : Faults
        Takes the faults.
    """
    unique(rows, ["pattern", "method", "cause"], faults)
    for row in rows:
        name_fault(row, "pattern", known["patterns"], faults)
        name_fault(row, "method", known["methods"], faults)
        count = row.value
        if count is not None and not 0 <= count.castings_scrapped <= count.castings_poured:
            expected = f"0 to {count.castings_poured}, the castings poured"
            faults.add(
                row.spot.fault(found=str(count.castings_scrapped), expected=expected, column="castings_scrapped")
            )


def steps(method: Row, parts: Sequence[Row], known: Mapping[str, Any], faults: Faults) -> None:
    """Steps of one method: named once, each with its duration, waiting for steps there are and never for themselves.

    Parameters
    ----------
    method : Row
        The method, where a fault of all its steps stands.
    parts : sequence of Row
        Its steps, in order.
    known : mapping
        Names of patterns, of cores by pattern, and the kind of line.
    faults : Faults
        Takes the faults.
    """
    unique(parts, ["name"], faults)
    names = [row.word("name") for row in parts]
    awaited = [*names, INDEX] if known["line_kind"] in SHARED else names
    for row in parts:
        step = row.value
        if step is None:
            continue
        for field, allowed in (("after", awaited), ("after_previous", awaited), ("patterns", known["patterns"])):
            for name in getattr(step, field):
                if name not in allowed:
                    expected = known_name(name, [n for n in allowed if n])
                    faults.add(row.spot.fault(found=shown(name), expected=expected, column=field))
        cores = sorted({code for codes in known["cores"].values() for code in codes})
        if step.places and step.places not in cores:
            expected = known_name(step.places, cores)
            faults.add(row.spot.fault(found=shown(step.places), expected=expected, column="places"))
        if bool(step.element) == (step.constant_s is not None):
            found = "both" if step.element else "neither"
            faults.add(row.spot.fault(found=found, expected="an element, or a constant_s", column="element"))
    if all(row.value for row in parts) and not waits_end([row.value for row in parts]):
        expected = "an order: each resource does its steps as listed, and waits for steps before"
        faults.add(method.spot.fault(found="steps that wait for one another", expected=expected, column="step"))


def untimed_steps(case: Case) -> list[tuple[str, str, str, str]]:
    """Steps whose element no study of their method has, though it has studies: perhaps a slip, perhaps yet to be timed.

    Returns
    -------
    list of tuple
        Method, step, element, and what was perhaps meant. A case is complete without them, so that none is a fault.
    """
    found = []
    for method in case.methods:
        elements = {e.name for study in case.studies if study.method == method.method for e in study.elements}
        unlike = [step for step in method.steps if elements and step.element and step.element not in elements]
        found += [(method.method, s.name, s.element, known_name(s.element, sorted(elements))) for s in unlike]
    return found


def unlisted(case: Case) -> list[tuple[str, str, str, str]]:
    """Studies whose pattern or method the case does not list: perhaps a slip, perhaps timed for a standard alone.

    Returns
    -------
    list of tuple
        Study, `pattern` or `method`, its code, and what was perhaps meant.
    """
    listed = {
        "pattern": [pattern.pattern for pattern in case.patterns],
        "method": [method.method for method in case.methods] or [case.baseline, case.candidate],
    }
    return [
        (study.study, kind, code, known_name(code, names))
        for study in case.studies
        for kind, names in listed.items()
        if (code := getattr(study, kind)) not in names and (case.patterns or kind == "method")
    ]


def waits_end(steps_listed: Sequence[Any]) -> bool:
    """Whether a cycle of these steps can be done at all: nothing waits, in the end, for itself."""
    waits: dict[str, set[str]] = {}
    last: dict[str, str] = {}
    for step in steps_listed:
        waits[step.name] = set(step.after) | ({last[step.by]} if step.by in last else set())
        last[step.by] = step.name
    while ready := [name for name, over in waits.items() if not over & waits.keys()]:
        for name in ready:
            del waits[name]
    return not waits


def head(row: Row, known: Mapping[str, Any], order: Sequence[str], held: Collection[str], faults: Faults) -> None:
    """The case's own keys: its day, its currency, the two methods compared, its list of studies.

    Parameters
    ----------
    row : Row
        The case's own keys.
    known : mapping
        Names of methods and of studies.
    order : sequence of str
        Studies as the case lists them.
    held : collection of str
        Codes that the case had before.
    faults : Faults
        Takes the faults.
    """
    if known["methods"]:
        name_fault(row, "baseline", known["methods"], faults)
        name_fault(row, "candidate", known["methods"], faults)
    day = row.word("date") or ""
    if not DAY.fullmatch(day):
        faults.add(row.spot.fault(found=shown(day), expected="a day as 2026-03-31", column="date"))
    for field in ("baseline", "candidate"):
        codes([row], field, held, faults)
    currency = row.word("currency")
    if currency is not None and not re.fullmatch("[A-Z]{3}", currency):
        expected = "a currency by three capital letters, as USD"
        faults.add(row.spot.fault(found=shown(currency), expected=expected, column="currency"))
    for code in order:
        if code not in known["studies"]:
            faults.add(row.spot.fault(found=shown(code), expected="a study with a file in times/", column="studies"))
