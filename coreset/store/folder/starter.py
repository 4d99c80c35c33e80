"""An empty case whose files explain every field. In: a path, a unit set, a currency. Out: files to fill in."""

from __future__ import annotations

import csv
import io
import math
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Annotated, Any, Literal, get_args, get_origin, get_type_hints

import annotated_types

from coreset.case import UNIT_SETS, US_STYLE, Case, Correction, Element, Line, Promise, Study, most
from coreset.case.stops import FORM_OF_STOPS
from coreset.errors import Fault, StudyError
from coreset.store.folder.disk import replace_folder
from coreset.store.folder.faults import one_of, shown
from coreset.store.folder.parts import NAMED, SECTIONS, TABLES
from coreset.store.folder.reader import OURS
from coreset.store.folder.schema import Column, bare, columns, meaning_of, table_columns
from coreset.store.folder.writer import toml_value

HEAD = """\
# What to fill in first, each for an answer of its own (`coreset check` says what an answer still lacks):
{first}
# Take the # off a line to fill it in; a line left as it is takes the value shown.
# A figure that is not known exactly is a range: {{ low = 1, likely = 2, high = 4, source = "quote of 3 March" }}
# Units of this case: {units}. People are codes, never names.
"""
FIRST = {
    "lifts.csv, cores.csv": "lifting index: a row for each task and core",
    "times/<study>.toml, .csv": "standard time: one study a pattern and method; form in times/study.toml.txt",
    "patterns.csv": "business case: a row a pattern ({patterns})",
    "case.toml, money": "business case: {money}",
    "case.toml, method": "line: the steps of both methods, in their order",
}
"""Where the first things are entered, and for which answer."""
STUDY_HEAD = """\
# One study. Copy this file to times/<code of the study>.toml and fill it in; the readings go beside it, into
# times/<code of the study>.csv, with the columns
#   cycle      number of the cycle
#   element    name of the element, as below, that ends with this reading
#   reading_s  continuous timing: the clock at the breakpoint; snapback: the time of the element. Empty if missed
#   rating     rating of this reading, or empty
#   mark       empty, or: foreign (no part of the job), missed (breakpoint not read), failed (try broken off),
#              split (part of an element before foreign time)
#   note       anything worth knowing
#   seq        number of the reading; may be left out, then the rows count
"""
NAMES = dict(NAMED.values())
RULES = {
    annotated_types.Gt: "above {0.gt:g}",
    annotated_types.Ge: "not below {0.ge:g}",
    annotated_types.Lt: "below {0.lt:g}",
    annotated_types.Le: "not above {0.le:g}",
}


def start(path: str | Path, *, units: str = "metric", currency: str = "USD") -> None:
    """Put an empty case down, every field of every file explained where it is filled in.

    Parameters
    ----------
    path : str or Path
        Folder to make; it must not be there, or be empty.
    units : {"metric", "us"}
        Unit set of every column.
    currency : str
        Three capital letters.

    Raises
    ------
    StudyError
        If the folder has anything in it, or the units or the currency are not known.
    """
    target, faults = Path(path), []
    if units not in UNIT_SETS:
        faults.append(Fault(file=target.name, column="units", found=shown(units), expected=one_of(UNIT_SETS)))
    if not re.fullmatch("[A-Z]{3}", currency):
        expected = "three capital letters, as USD"
        faults.append(Fault(file=target.name, column="currency", found=shown(currency), expected=expected))
    if target.exists() and not (target.is_dir() and not any(target.iterdir())):
        faults.append(Fault(file=str(target), found="something there", expected="no folder, or an empty one"))
    if faults:
        raise StudyError(faults)
    replace_folder(target, files(target.name or "case", units, currency), ours=OURS)


def files(title: str, units: str, currency: str) -> dict[str, str]:
    """Every file of the empty case by its name.

    Parameters
    ----------
    title : str
        Of the case.
    units : str
        "metric" or "us".
    currency : str
        Three capital letters.
    """
    given: dict[str, Any] = {"title": title, "units": units, "currency": currency, "form": FORM_OF_STOPS}
    given |= US_STYLE if (units, currency) == ("us", "USD") else {}
    lines = [HEAD.format(units=units, first=_first(units)), *_keys(Case, units, given)]
    for name, kind in sorted(SECTIONS.items(), key=lambda row: not _required(row[1], units)):
        lines += ["", f"[{name}]", *_keys(kind, units)]
        if kind is Line:
            lines += _example("# [[line.stop]]", columns(Line, units)["stop"].kind, units)
    for name, (kind, _) in NAMED.items():
        label, part = ("by hand", "line") if name == "allowances" else ("manual", "step")
        table = f'{name}."{label}"' if " " in label else f"{name}.{label}"
        lines += _example(f"# [{table}]", kind, units)
        lines += _example(f"# [[{table}.{part}]]", columns(kind, units)[part].kind, units)
    study = [STUDY_HEAD, *_keys(Study, units), *_example("# [[element]]", Element, units)]
    found = {"case.toml": "\n".join(lines) + "\n", "times/study.toml.txt": "\n".join(study) + "\n"}
    found |= {f"{name}.csv": _table(kind, units) for name, kind in TABLES.items() if kind is not Promise}
    found["times/corrections.csv.txt"] = _table(Correction, units)
    return found


def _required(kind: type, units: str) -> list[str]:
    """Columns of a kind that have no value until one is given."""
    return [name for name, item in columns(kind, units).items() if item.required]


def _first(units: str) -> str:
    """What to fill in first, a line each, with the required columns by their names."""
    required = {"patterns": _required(TABLES["patterns"], units), "money": _required(SECTIONS["money"], units)}
    names = {name: ", ".join(columns_) for name, columns_ in required.items()}
    return "\n".join(f"#   {place:<26}{what.format(**names)}" for place, what in FIRST.items())


def _keys(kind: type, units: str, given: dict[str, Any] | None = None, remark: str = "# ") -> Iterator[str]:
    """A line that explains each key, and the key with its default behind a #; those that are required come first."""
    for name, item in sorted(columns(kind, units).items(), key=lambda row: not row[1].required):
        if item.form == "records" or name == NAMES.get(kind):
            continue
        yield remark + explained(kind, item).replace("yes or no", "true or false")
        if given and name in given:
            yield f"{name} = {toml_value(given[name])}"
        else:
            yield f"# {name} ={_default(item)}"


def _default(item: Column) -> str:
    if item.required or item.default is None:
        return ""
    default = item.default if item.form != "range" else item.default.likely
    return f" {toml_value(list(default) if isinstance(default, tuple) else default)}"


def _example(head: str, kind: type, units: str) -> list[str]:
    """A table that may be there or not, wholly behind #."""
    return ["", head, *_keys(kind, units, remark="#   ")]


def explained(kind: type, item: Column) -> str:
    """What a field means, what it may be, and whether it must be there.

    Examples
    --------
    >>> from coreset.case import Lift
    >>> explained(Lift, columns(Lift, "us")["coupling"])
    "how well the hands hold it; gloved on a fragile core is normally poor [one of 'good', 'fair', 'poor']"
    """
    rules = _rules(get_type_hints(kind, include_extras=True)[item.field])
    if item.form == "bool":
        rules.append("yes or no")
    if item.form == "range":
        limit = most(kind, item.field)
        rules.append("a number or a range" + (f" not above {limit:g}" if limit < math.inf else ""))
    if item.required:
        rules.append("required")
    return meaning_of(kind, item.field) + (f" [{'; '.join(rules)}]" if rules else "")


def _rules(annotation: Any) -> list[str]:
    """The limits of a field in words."""
    if get_origin(bare(annotation)) is Literal:
        return [one_of(word or "" for word in get_args(bare(annotation)))]
    rules = []
    for part in (annotation, *get_args(annotation)):
        if get_origin(part) is Annotated:
            rules += [RULES[type(limit)].format(limit) for limit in get_args(part)[1:] if type(limit) in RULES]
            rules += ["a whole number"] if get_args(part)[0] is int else []
    return rules


def _table(kind: type, units: str) -> str:
    """A table without rows; the lines above its head, which begin with #, explain the columns."""
    stream = io.StringIO(newline="")
    writer = csv.writer(stream, lineterminator="\n")
    for name, item in columns(kind, units).items():
        writer.writerow([f"# {name}: {explained(kind, item)}"])
    if any(item.form == "range" for item in columns(kind, units).values()):
        writer.writerow(["# a column x that is a range has x_low, x_high and x_source beside it"])
    writer.writerow(table_columns(kind, units))
    return stream.getvalue()
