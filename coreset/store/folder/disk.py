"""Bytes on the disk, safely. In: a folder and a name. Out: text, or a fault; and whole folders put down at once."""

from __future__ import annotations

import os
import re
import shutil
import stat
import tempfile
from collections.abc import Callable, Mapping
from pathlib import Path

from coreset.errors import Fault, StudyError
from coreset.store.folder.faults import Faults, shown

MAX_BYTES = {".toml": 4_000_000, ".csv": 200_000_000}
CONTROL = bytes(b for b in range(32) if b not in b"\t\n\r") + b"\x7f"
ODD = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ufffe\uffff\ud800-\udfff]")
"""Characters that no text of a case may hold: control characters, and what XML, hence a workbook, cannot carry."""
ODD_BYTES = re.compile(rb"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]|\xc2[\x80-\x9f]|\xef\xbf[\xbe\xbf]")


def _refused(file: str, found: str, expected: str, row: int | None = None) -> Fault:
    return Fault(file=file, row=row, found=found, expected=expected)


def _bytes(root: Path, name: str, faults: Faults) -> bytes | None:
    """Content of a plain file inside the folder, or None with a fault."""
    path = root / name
    try:
        inside = path.resolve(strict=True).is_relative_to(root.resolve(strict=True))
        status = path.stat()
        limit = MAX_BYTES[path.suffix]
        if not inside:
            faults.add(_refused(name, "a link that leads outside the folder", "a file of the folder itself"))
        elif not stat.S_ISREG(status.st_mode):
            faults.add(_refused(name, "no plain file", "a plain file"))
        elif status.st_size > limit:
            faults.add(_refused(name, f"{status.st_size} bytes", f"at most {limit} bytes"))
        else:
            return path.read_bytes()
    except (OSError, RuntimeError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        faults.add(_refused(name, f"no readable file ({reason})", "a file that can be read"))
    return None


def text(root: Path, name: str, faults: Faults) -> str | None:
    """Text of a file, UTF-8 with or without a byte-order mark; None, with a fault, if it cannot be had.

    Parameters
    ----------
    root : Path
        Folder of the case.
    name : str
        File in it.
    faults : Faults
        Takes the fault.
    """
    content = _bytes(root, name, faults)
    return None if content is None else _decoded(content, name, faults)


def _decoded(content: bytes, name: str, faults: Faults) -> str | None:
    """The bytes of a file as text; None, with a fault, if they are no UTF-8 text."""
    if content[:2] in (b"\xff\xfe", b"\xfe\xff"):
        faults.add(_refused(name, "text in UTF-16", "text in UTF-8 (save as CSV UTF-8)"))
        return None
    content = content.removeprefix(b"\xef\xbb\xbf")
    if len(content.translate(None, CONTROL)) != len(content) or b"\xc2" in content or b"\xef\xbf" in content:
        odd = ODD_BYTES.search(content)
        if odd:
            row = content.count(b"\n", 0, odd.start()) + 1
            faults.add(_refused(name, f"control character {shown(odd.group())}", "printable text", row))
            return None
    try:
        return content.decode("utf-8")
    except UnicodeDecodeError as error:
        row = content.count(b"\n", 0, error.start) + 1
        found = f"bytes {shown(content[error.start : error.end])}"
        faults.add(_refused(name, found, "text in UTF-8 (save as CSV UTF-8)", row))
        return None


def is_folder(path: Path) -> bool:
    """Whether there is a folder; a path that cannot be one is none."""
    try:
        return path.is_dir()
    except (OSError, ValueError):
        return False


def names(root: Path, suffixes: tuple[str, ...]) -> list[str]:
    """Names in a folder that end so, sorted; hidden ones left out."""
    try:
        found = sorted(entry.name for entry in os.scandir(root))
    except (OSError, ValueError):
        return []
    return [name for name in found if name.endswith(suffixes) and not name.startswith((".", "~"))]


def _put(root: Path, files: Mapping[str, str]) -> None:
    for name, content in files.items():
        path = root / name
        path.parent.mkdir(parents=True, exist_ok=True)
        with path.open("w", encoding="utf-8", newline="") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())


def replace_folder(target: Path, files: Mapping[str, str], *, ours: tuple[str, ...]) -> None:
    """Put a whole folder down, or nothing: built beside the target, then renamed into its place.

    Files of the old folder that are not `ours` (a README, photographs) stay. After a crash between the two renames
    the old folder still stands beside the target, as `.<name>.before`.

    Parameters
    ----------
    target : Path
        The folder.
    files : mapping
        Text by name, a path within the folder.
    ours : tuple of str
        Names of files that are a case's own, and go where they are not among `files`.

    Raises
    ------
    StudyError
        If the target is something else than an empty folder or a case, or the disk refuses.
    """
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(dir=target.parent, prefix=f".{target.name[:80]}.") as work:
            fresh = Path(work) / "new"
            if target.exists():
                shutil.copytree(target, fresh, symlinks=True, ignore=_ignoring(target, ours))
            fresh.mkdir(exist_ok=True)
            _put(fresh, files)
            before = target.parent / f".{target.name}.before"
            if target.exists():
                target.rename(before)
            fresh.rename(target)
            shutil.rmtree(before, ignore_errors=True)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise StudyError(
            [_refused(target.name, f"a folder that cannot be written ({reason})", "room to write")]
        ) from error


def _ignoring(target: Path, ours: tuple[str, ...]) -> Callable[[str, list[str]], list[str]]:
    """What not to carry over: the files that a case consists of."""

    def ignored(folder: str, found: list[str]) -> list[str]:
        below = Path(folder).relative_to(target).as_posix()
        if below == "times":
            return [name for name in found if name.endswith((".csv", ".toml"))]
        return [name for name in found if name in ours] if below == "." else []

    return ignored
