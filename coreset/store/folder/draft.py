"""A case in the making: its parts as read, with their spots, until all of them are there and agree."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from coreset.case import (
    Case,
    Money,
    Readings,
    Study,
)
from coreset.case.money import NO_PRICES
from coreset.store.folder import check, check_actions, check_delays, check_line, check_money, check_stops, check_study
from coreset.store.folder.faults import Faults, FaultSpot, known_name, shown
from coreset.store.folder.parts import NAMED, SECTIONS, TABLES
from coreset.store.folder.records import assemble, made
from coreset.store.folder.schema import columns
from coreset.store.folder.tables import Row

CANDIDATE, FORMER_CANDIDATE = "core setter", "assisted"
"""Method that is weighed where a case names none: today, and before 0.3 where it has a method of that name."""


@dataclass(slots=True, kw_only=True)
class StudyDraft:
    """One study as read: its header, its elements, its readings with their rows, its corrections."""

    row: Row
    elements: list[Row]
    readings: Readings | None = None
    rows: Sequence[int] = ()
    readings_file: str = ""
    corrections: list[Row] = field(default_factory=list)


@dataclass(slots=True, kw_only=True)
class Draft:
    """What has been read so far."""

    units: str
    faults: Faults
    head: Row | None = None
    sections: dict[str, Row] = field(default_factory=dict)
    named: dict[str, list[tuple[Row, list[Row]]]] = field(default_factory=lambda: {"allowances": [], "method": []})
    tables: dict[str, list[Row]] = field(default_factory=lambda: {name: [] for name in TABLES})
    studies: list[StudyDraft] = field(default_factory=list)
    order: list[str] = field(default_factory=list)
    held: Collection[str] = ()
    """Codes that the case had before it was changed: they are not questioned again."""


def row(kind: type, raw: Mapping[str, Any], spot: FaultSpot, draft: Draft) -> Row:
    """One table of a TOML file as a record.

    Parameters
    ----------
    kind : type
        Dataclass of the record.
    raw : mapping
        Keys with their units, as the file has them.
    spot : FaultSpot
        Where the table stands.
    draft : Draft
        Case in the making: its units; takes the faults.
    """
    found = assemble(kind, raw, draft.units, spot, draft.faults)
    return Row(spot=spot, fields=found, value=made(kind, found, draft.units, spot, draft.faults))


def _with_parts(kind: type, part: str, raw: Mapping[str, Any], spot: FaultSpot, draft: Draft) -> tuple[Row, list[Row]]:
    """A record that has a list of tables in it, such as a method and its steps; each part keeps its spot."""
    item = columns(kind, draft.units)[part]
    listed = raw.get(part, [])
    if not isinstance(listed, list) or not all(isinstance(one, Mapping) for one in listed):
        draft.faults.add(spot.fault(found=shown(listed), expected=f"tables [[{part}]]", column=part))
        listed = []
    parts = [row(item.kind, one, spot.below(f"{part}[{i}]"), draft) for i, one in enumerate(listed, start=1)]
    found = assemble(kind, {k: v for k, v in raw.items() if k != part}, draft.units, spot, draft.faults)
    found[item.field] = tuple(one.value for one in parts if one.value is not None)
    return Row(spot=spot, fields=found, value=made(kind, found, draft.units, spot, draft.faults)), parts


def take_head(tree: Mapping[str, Any], spot: FaultSpot, draft: Draft) -> None:
    """All of case.toml: the case's own keys, its sections, its allowance sets and its methods.

    Parameters
    ----------
    tree : mapping
        The file, parsed.
    spot : FaultSpot
        The file.
    draft : Draft
        Takes the head, sections, sets and methods, and the faults.
    """
    tree = _with_former_candidate(tree)
    own = columns(Case, draft.units)
    known = [*own, *SECTIONS, *NAMED, "studies"]
    for name in tree:
        if name not in known:
            fault = spot.fault(found=f"key {shown(name)}", expected=known_name(name, known), column=name[:80])
            draft.faults.add(fault)
    fields_found = assemble(Case, {k: v for k, v in tree.items() if k in own}, draft.units, spot, draft.faults)
    draft.head = Row(spot=spot, fields=fields_found)
    for name, kind in SECTIONS.items():
        raw = _table(tree.get(name, {}), name, spot, draft)
        at = replace(spot, table=name)
        if name == "line":
            draft.sections[name], stops = _with_parts(kind, "stop", raw, at, draft)
            draft.named.setdefault("stops", []).extend((stop, []) for stop in stops)
        else:
            unpriced = kind is Money and not raw
            draft.sections[name] = Row(spot=at, fields={}, value=NO_PRICES) if unpriced else row(kind, raw, at, draft)
    for name, (kind, key) in NAMED.items():
        part = "line" if name == "allowances" else "step"
        for label, raw in _table(tree.get(name, {}), name, spot, draft).items():
            at = replace(spot, table=f"{name}.{label}")
            raw = {key: label, **_table(raw, label, at, draft)}
            if raw[key] != label:
                expected = f"{shown(label)}, the name of the table, or nothing"
                draft.faults.add(at.fault(found=shown(raw[key]), expected=expected, column=key))
            draft.named[name].append(_with_parts(kind, part, raw, at, draft))
    listed = tree.get("studies", [])
    draft.order = [str(code) for code in listed] if isinstance(listed, list) else []


def _with_former_candidate(tree: Mapping[str, Any]) -> Mapping[str, Any]:
    """The case with the method that is weighed, where it names none and has the default of before 0.3 only."""
    methods = tree.get("method", {})
    named = isinstance(methods, Mapping) and FORMER_CANDIDATE in methods and CANDIDATE not in methods
    return {**tree, "candidate": FORMER_CANDIDATE} if named and "candidate" not in tree else tree


def _table(raw: Any, name: str, spot: FaultSpot, draft: Draft) -> Mapping[str, Any]:
    if isinstance(raw, Mapping):
        return raw
    draft.faults.add(spot.fault(found=shown(raw), expected=f"a table [{name}]", column=name))
    return {}


def take_study(code: str, tree: Mapping[str, Any], spot: FaultSpot, draft: Draft) -> StudyDraft:
    """The header and the elements of one study.

    Parameters
    ----------
    code : str
        Of the study, the name of its file.
    tree : mapping
        The file, parsed.
    spot : FaultSpot
        The file.
    draft : Draft
        Takes the study and the faults.
    """
    tree = {"study": code, **tree}
    if tree["study"] != code:
        found, expected = shown(tree["study"]), f"{shown(code)}, the name of the file, or nothing"
        draft.faults.add(spot.fault(found=found, expected=expected, column="study"))
    header, parts = _with_parts(Study, "element", tree, spot, draft)
    found = StudyDraft(row=header, elements=parts)
    draft.studies.append(found)
    return found


def finish(draft: Draft) -> Case:
    """The case, if all its parts are right and agree; else a StudyError with all faults.

    Raises
    ------
    StudyError
        With every fault of every file.
    """
    _agree(draft)
    draft.faults.raise_any()
    parts: dict[str, Any] = {name: found.value for name, found in draft.sections.items()}
    parts |= {name: tuple(one.value for one in rows) for name, rows in draft.tables.items()}
    parts["allowances"] = tuple(one.value for one, _ in draft.named["allowances"])
    parts["methods"] = tuple(one.value for one, _ in draft.named["method"])
    parts["studies"] = tuple(_study(one) for one in _ordered(draft))
    case = made(Case, {**draft.head.fields, **parts}, draft.units, draft.head.spot, draft.faults)
    draft.faults.raise_any()
    return case


def _ordered(draft: Draft) -> list[StudyDraft]:
    """Studies in the order that case.toml lists, then by name."""
    place = {code: i for i, code in enumerate(draft.order)}
    return sorted(draft.studies, key=lambda one: (place.get(one.row.value.study, len(place)), one.row.value.study))


def _study(one: StudyDraft) -> Study:
    changes = tuple(change.value for change in one.corrections)
    return replace(one.row.value, readings=one.readings or Readings(), corrections=changes)


def _words(rows: Sequence[Row], field: str) -> list[str]:
    """What the rows are named, those without a name left out."""
    return [word for word in (one.word(field) for one in rows) if word is not None]


def _known(draft: Draft) -> dict[str, Any]:
    """Every name that another part may use."""
    cores: dict[str | None, list[str]] = {}
    for one in draft.tables["cores"]:
        cores.setdefault(one.word("pattern"), []).extend(_words([one], "core"))
    return {
        "patterns": dict.fromkeys(_words(draft.tables["patterns"], "pattern")).keys(),
        "line_kind": getattr(draft.sections["line"].value, "kind", ""),
        "methods": _words([one for one, _ in draft.named["method"]], "method"),
        "by_hand": _by_hand(draft),
        "allowances": _words([one for one, _ in draft.named["allowances"]], "name"),
        "cores": cores,
        "studies": _words([one.row for one in draft.studies], "study"),
    }


def _by_hand(draft: Draft) -> list[str]:
    """Methods without a setter that take as many operators as the current one."""
    found = {row.word("method"): row.value for row, _ in draft.named["method"] if row.value is not None}
    today = found.get(draft.head.word("baseline"))
    crew = today.operators if today else 1
    return [name for name, method in found.items() if not method.mechanised and method.operators == crew]


def _agree(draft: Draft) -> None:
    """Every rule between parts."""
    known, faults = _known(draft), draft.faults
    studies = [one.row for one in draft.studies]
    coded = {"study": studies, "pattern": [*studies, *draft.tables["patterns"]]}
    coded["method"] = [*studies, *(one for one, _ in draft.named["method"])]
    for kind, rows in coded.items():
        check.codes(rows, kind, draft.held, faults)
    check.unique(coded["study"], ["study"], faults)
    check.unique(draft.tables["patterns"], ["pattern"], faults)
    check.unique(draft.tables["cores"], ["pattern", "core"], faults)
    for one in draft.tables["cores"]:
        check.name_fault(one, "pattern", known["patterns"], faults)
    for one in [*draft.tables["patterns"], draft.sections["money"]]:
        check.ranges(one, faults)
    check_money.programs(draft.tables["patterns"], faults)
    check.lifts(draft.tables["lifts"], known, faults)
    check.place(draft.sections["place"], faults)
    check_actions.actions(draft.tables["actions"], known, faults)
    for one in draft.tables["counts"]:
        check.name_fault(one, "pattern", known["patterns"], faults)
    check.scrap(draft.tables["scrap"], known, faults)
    check_money.actuals(draft.tables["actuals"], draft.sections["money"], faults)
    check_money.promised(draft.tables["promised"], faults)
    check_money.options(draft.tables["options"], known, faults)
    check.unique(draft.tables["growth"], ["item"], faults)
    check_stops.stops(draft.head, draft.sections["line"], [stop for stop, _ in draft.named.get("stops", [])], faults)
    check.unique(draft.tables["drivers"], ["method", "element"], faults)
    check_delays.delays(draft.tables["delays"], draft.named.get("allowances", []), faults)
    for one in draft.tables["drivers"]:
        check.name_fault(one, "method", known["methods"], faults)
    for method, parts in draft.named["method"]:
        check.steps(method, parts, known, faults)
        check_line.steps(known["line_kind"], method, parts, faults)
    check_line.kind(draft.sections["line"], [stop for stop, _ in draft.named.get("stops", [])], faults)
    check_line.curve(draft.sections["setter"], faults)
    check.head(draft.head, known, draft.order, draft.held, faults)
    for one in draft.studies:
        _study_agrees(one, known, faults)


def _study_agrees(one: StudyDraft, known: Mapping[str, Any], faults: Faults) -> None:
    check_study.study(one.row, one.elements, known, faults)
    names = _words(one.elements, "name")
    if one.readings is None:
        return
    check_study.readings(one.readings, one.rows, one.readings_file, names, faults)
    excluded = {
        change.value.seq for change in one.corrections if change.value and change.value.action in ("exclude", "relabel")
    }
    if one.row.fields.get("timing") == "continuous":
        check_study.clock(one.readings, one.rows, one.readings_file, excluded, faults)
    check_study.corrections(one.corrections, one.readings.seq, names, faults)
