"""A case folder -> Case. In: a path. Out: the case, or one StudyError with every fault of every file."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from coreset.case import UNIT_SETS, Case, Correction, Readings
from coreset.errors import Fault, StudyError
from coreset.store.folder import disk
from coreset.store.folder.draft import Draft, finish, take_head, take_study
from coreset.store.folder.faults import Faults, FaultSpot, known_name, one_of, shown
from coreset.store.folder.line_log import LOG
from coreset.store.folder.parts import TABLES
from coreset.store.folder.readings import read_readings
from coreset.store.folder.tables import read_table

OURS = ("case.toml", *(f"{name}.csv" for name in TABLES))
MAX_STUDIES = 10_000


def read(path: str | Path) -> Case:
    """The case that stands in a folder.

    Parameters
    ----------
    path : str or Path
        Folder with case.toml, the tables beside it (`draft.TABLES`) and times/.

    Returns
    -------
    Case
        In the units of its files; nothing is converted.

    Raises
    ------
    StudyError
        With every fault of every file: file, row, column, what was found, what was expected.
    """
    root, faults = Path(path), Faults()
    if not disk.is_folder(root):
        raise StudyError([Fault(file=str(path)[:200], found="no folder", expected="the folder of a case")])
    tree, spot = _toml(root, "case.toml", faults)
    if tree is None:
        faults.raise_any()
    units: Any = tree.get("units")
    if units not in UNIT_SETS:
        found = "nothing" if units is None else shown(units)
        faults.add(spot.fault(found=found, expected=one_of(UNIT_SETS), column="units"))
        faults.raise_any()
    draft = Draft(units=units, faults=faults)
    take_head(tree, spot, draft)
    for name, kind in TABLES.items():
        content = _table_text(root, f"{name}.csv", faults)
        if content is not None:
            draft.tables[name] = read_table(kind, content, f"{name}.csv", units, faults)
    _strangers(root, faults)
    _studies(root, draft)
    return finish(draft)


def _toml(root: Path, name: str, faults: Faults) -> tuple[Mapping[str, Any] | None, FaultSpot]:
    """A TOML file as a tree with its lines, for the rows of faults."""
    content = disk.text(root, name, faults)
    if content is None:
        return None, FaultSpot(file=name)
    content = content.replace("\r\n", "\n").replace("\r", "\n")
    try:
        return tomllib.loads(content), FaultSpot(file=name, lines=tuple(content.split("\n")))
    except (ValueError, RecursionError) as error:
        line = re.search(r"at line (\d+)", str(error))
        found = f"text that is no TOML ({str(error)[:120]})"
        at = FaultSpot(file=name, row=int(line[1]) if line else None)
        faults.add(at.fault(found=found, expected="key = value, texts in quotes"))
        return None, at


def _table_text(root: Path, name: str, faults: Faults) -> str | None:
    """Text of a CSV file, None where there is none: a standard needs a study and nothing else."""
    path = root / name
    if not path.exists() and not path.is_symlink():
        return None
    return disk.text(root, name, faults)


def _strangers(root: Path, faults: Faults) -> None:
    """Tables that nothing reads: most likely a slip in the name of the file."""
    for name in disk.names(root, (".csv", ".toml")):
        if name not in (*OURS, LOG):
            faults.add(Fault(file=name, found="a file that no case has", expected=known_name(name, OURS)))


def _studies(root: Path, draft: Draft) -> None:
    """Every study of times/: the header, the readings, the corrections."""
    folder, faults = root / "times", draft.faults
    if not folder.exists():
        return
    if not folder.is_dir() or not folder.resolve().is_relative_to(root.resolve()):
        faults.add(Fault(file="times", found="no folder of this case", expected="a folder with the studies"))
        return
    found = disk.names(folder, (".csv", ".toml"))
    codes = [name.removesuffix(".toml") for name in found if name.endswith(".toml")]
    if len(codes) > MAX_STUDIES:
        expected = f"at most {MAX_STUDIES} studies"
        faults.add(Fault(file="times", found=f"{len(codes)} studies", expected=expected))
        return
    for name in found:
        code = name.removesuffix(".csv").removesuffix(".corrections")
        if name.endswith(".csv") and code not in codes:
            expected = f"a header {shown(f'{code}.toml')} beside it"
            faults.add(Fault(file=f"times/{_printable(name)}", found="readings without a header", expected=expected))
    for code in codes:
        _study(root, code, draft)


def _printable(name: str) -> str:
    return name.encode("utf-8", "backslashreplace").decode("utf-8")


def _study(root: Path, code: str, draft: Draft) -> None:
    faults = draft.faults
    tree, spot = _toml(root, f"times/{code}.toml", faults)
    if tree is None:
        return
    study = take_study(code, tree, spot, draft)
    study.readings_file = f"times/{code}.csv"
    content = _table_text(root, study.readings_file, faults)
    taken = None if content is None else read_readings(content, study.readings_file, faults)
    if not (root / study.readings_file).exists():
        taken = Readings(), []
    if taken:
        study.readings, study.rows = taken
    changes = f"times/{code}.corrections.csv"
    content = _table_text(root, changes, faults)
    if content is not None:
        study.corrections = read_table(Correction, content, changes, draft.units, faults)
