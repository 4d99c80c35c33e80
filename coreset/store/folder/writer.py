"""Case -> a case folder. In: a case and a path. Out: files that read() takes back exactly, all of them or none."""

from __future__ import annotations

import csv
import io
import json
import re
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from coreset.case import Case, Correction, Study
from coreset.case.codes import with_safe_codes
from coreset.errors import Fault, StudyError
from coreset.store.folder.disk import ODD, replace_folder
from coreset.store.folder.parts import TABLES
from coreset.store.folder.plain import build, flat, head, plain
from coreset.store.folder.reader import OURS
from coreset.store.folder.readings import readings_text
from coreset.store.folder.schema import SEPARATOR, table_columns
from coreset.store.folder.tables import guarded

BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
LONG_LIST = 90
RENAMED = "renamed.txt"
"""What an export had to rename, since a code could name no file: the old code and the new one."""
EXACT = 2.0**53


def write(case: Case, path: str | Path) -> dict[str, str]:
    """Put a case down as a folder of plain files; what stood there is replaced as a whole.

    Parameters
    ----------
    case : Case
    path : str or Path
        Folder to make or to replace. Files in it that are no part of a case stay.

    Returns
    -------
    dict of str to str
        Codes that cannot name a file, each with its kind, and the names under which they were written instead.

    Raises
    ------
    StudyError
        If the case could not be read back, the folder holds something else, or the disk refuses.
    """
    target = Path(path)
    if target.exists() and not (target.is_dir() and ((target / "case.toml").exists() or not any(target.iterdir()))):
        raise StudyError([Fault(file=str(target), found="something else", expected="no folder, or that of a case")])
    safe, renamed = with_safe_codes(case)
    build(plain(safe), file=target.name)
    replace_folder(target, files_of(case), ours=(*OURS, RENAMED))
    return renamed


def files_of(case: Case) -> dict[str, str]:
    """Every file of the case by its name below the folder; what had to be renamed for it is listed in `renamed.txt`."""
    case, renamed = with_safe_codes(case)
    found = {"case.toml": toml_text(head(case))}
    for name, kind in TABLES.items():
        values = getattr(case, name)
        if values or name == "patterns":
            found[f"{name}.csv"] = table_text(kind, values, case.units)
    for study in case.studies:
        found |= _study_files(study, case.units)
    if renamed:
        found[RENAMED] = "".join(f"{json.dumps(old)} -> {new}\n" for old, new in renamed.items())
    odd = [(name, ODD.search(content)) for name, content in found.items()]
    faults = [
        Fault(
            file=name, row=found[name].count("\n", 0, at.start()) + 1, found=repr(at.group()), expected="printable text"
        )
        for name, at in odd
        if at
    ]
    if faults:
        raise StudyError(faults)
    return found


def _study_files(study: Study, units: str) -> dict[str, str]:
    stem = f"times/{study.study}"
    found = {f"{stem}.toml": toml_text(flat(study, units))}
    if len(study.readings):
        found[f"{stem}.csv"] = readings_text(study.readings)
    if study.corrections:
        found[f"{stem}.corrections.csv"] = table_text(Correction, study.corrections, units)
    return found


def table_text(kind: type, values: Iterable[Any], units: str) -> str:
    """Values of one kind as CSV: the required columns, and those in which anything stands.

    Parameters
    ----------
    kind : type
        Dataclass of the values.
    values : iterable
        One a row.
    units : str
        Of the case: columns carry their unit.
    """
    rows = [_cells(flat(value, units)) for value in values]
    known = table_columns(kind, units)
    names = [name for name, item in known.items() if item.required or any(name in row for row in rows)]
    stream = io.StringIO(newline="")
    whole = csv.writer(stream, lineterminator="\n", quoting=csv.QUOTE_ALL)
    plainly = csv.writer(stream, lineterminator="\n")
    plainly.writerow(names)
    usual = {name: _cell(known[name].default) for name in names if known[name].default and not known[name].part}
    for row in rows:
        cells = [row.get(name, usual.get(name, "")) for name in names]
        writer = whole if any("\r" in str(cell) for cell in cells) else plainly
        writer.writerow(cells)
    return stream.getvalue()


def _cells(parts: Mapping[str, Any]) -> dict[str, Any]:
    """Keys of one value as cells: a range is spread over its columns, yes and no are words."""
    found: dict[str, Any] = {}
    for name, value in parts.items():
        if isinstance(value, dict):
            for part, inner in value.items():
                found[name if part == "likely" else f"{name}_{part}"] = _cell(inner)
        else:
            found[name] = _cell(value)
    return found


def _cell(value: Any) -> Any:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list | tuple):
        return guarded(f"{SEPARATOR} ".join(str(short(one)) for one in value))
    return guarded(value) if isinstance(value, str) else short(value)


def short(value: Any) -> Any:
    """A number as a person writes it: 46, not 46.0.

    Examples
    --------
    >>> short(46.0), short(46.5), short(1e300)
    (46, 46.5, 1e+300)
    """
    return int(value) if isinstance(value, float) and value.is_integer() and abs(value) < EXACT else value


def toml_text(tree: Mapping[str, Any]) -> str:
    """A tree of tables as TOML, keys in their order, plain keys before tables."""
    return "\n".join(_toml_lines(tree, "")).lstrip("\n") + "\n"


def _is_tables(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and isinstance(value[0], dict)


def _is_table(value: Any) -> bool:
    return isinstance(value, dict) and not {"low", "likely", "high"} <= value.keys()


def _toml_lines(tree: Mapping[str, Any], table: str) -> Iterable[str]:
    for key, value in tree.items():
        if not _is_table(value) and not _is_tables(value):
            yield f"{_key(key)} = {toml_value(value)}"
    for key, value in tree.items():
        name = f"{table}.{_key(key)}" if table else _key(key)
        if _is_tables(value):
            for one in value:
                yield from ("", f"[[{name}]]", *_toml_lines(one, name))
        elif _is_table(value) and value and all(_is_table(inner) for inner in value.values()):
            yield from _toml_lines(value, name)
        elif _is_table(value) and (value or table):
            yield from ("", f"[{name}]", *_toml_lines(value, name))


def _key(key: str) -> str:
    return key if BARE_KEY.fullmatch(key) else _text(key)


def _text(value: str) -> str:
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")


def toml_value(value: Any) -> str:
    """One value as TOML."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return _text(value)
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{_key(key)} = {toml_value(inner)}" for key, inner in value.items()) + " }"
    if isinstance(value, list):
        parts = [toml_value(inner) for inner in value]
        line = ", ".join(parts)
        return f"[{line}]" if len(line) <= LONG_LIST else "[\n    " + ",\n    ".join(parts) + ",\n]"
    return repr(short(value))
