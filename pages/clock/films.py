"""Videos that may be marked: found in the folders the user named, kept, measured and hashed without loading them."""

from __future__ import annotations

import hashlib
import os
import re
from collections.abc import AsyncIterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from starlette.concurrency import run_in_threadpool

from coreset.errors import OutOfRange

SUFFIXES = {".mp4", ".m4v", ".mov", ".webm", ".mkv"}
NAME = re.compile(r"^[\w][\w .()+-]{0,120}$")
SIZE_LIMIT = 8 * 1024**3
"""Largest video that is taken in. [bytes]"""
BLOCK = 1024**2
VARIABLE = "CORESET_VIDEOS"
"""Environment variable with the folder of videos that the user named at start."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Film:
    """One video file, as the study will name it."""

    name: str
    bytes: int
    sha256: str


def upload_folder() -> Path:
    """Where uploaded videos are kept."""
    home = Path(os.environ.get("XDG_DATA_HOME") or Path.home() / ".local" / "share")
    return home / "coreset" / "videos"


def folders() -> tuple[Path, ...]:
    """Folders in which videos are looked for: the one named at start, then the uploads."""
    named = os.environ.get(VARIABLE, "")
    return (*((Path(named),) if named else ()), upload_folder())


def names(where: Sequence[Path]) -> tuple[str, ...]:
    """Names of every video in the folders, not below them."""
    found = {item.name for folder in where if folder.is_dir() for item in folder.iterdir() if _is_film(item)}
    return tuple(sorted(found))


def _is_film(path: Path) -> bool:
    return path.suffix.lower() in SUFFIXES and bool(NAME.match(path.name)) and path.is_file()


def find(name: str, where: Sequence[Path]) -> Path | None:
    """The file of that name, None if no folder has it; a name that leads out of the folder is in none."""
    if not NAME.match(name):
        return None
    for folder in where:
        path = folder / name
        if _is_film(path) and path.resolve().parent == folder.resolve():
            return path
    return None


def measured(path: Path) -> Film:
    """Name, size and SHA-256 of a file, read in blocks."""
    digest = hashlib.sha256()
    with path.open("rb") as file:
        while block := file.read(BLOCK):
            digest.update(block)
    return Film(name=path.name, bytes=path.stat().st_size, sha256=digest.hexdigest())


async def keep(name: str, blocks: AsyncIterator[bytes], folder: Path) -> Film:
    """Write an uploaded video block by block; it gets its name only when it is whole.

    Raises
    ------
    OutOfRange
        If the name is none for a video, one of that name is there, or it is too large.
    """
    if not NAME.match(name) or Path(name).suffix.lower() not in SUFFIXES:
        raise OutOfRange(f"video name must be plain and end in one of {', '.join(sorted(SUFFIXES))}, got {name[:80]!r}")
    folder.mkdir(parents=True, exist_ok=True)
    target = folder / name
    if target.exists():
        raise OutOfRange(f"video name must be new, got {name!r}, which is kept already")
    part = folder / f"{name}.{os.getpid()}.part"
    try:
        await _write(part, blocks)
        os.link(part, target)
    except FileExistsError as error:
        raise OutOfRange(f"video name must be new, got {name!r}, which is kept already") from error
    finally:
        part.unlink(missing_ok=True)
    return await run_in_threadpool(measured, target)


async def _write(part: Path, blocks: AsyncIterator[bytes]) -> None:
    size = 0
    with part.open("wb") as file:
        async for block in blocks:
            size += len(block)
            if size > SIZE_LIMIT:
                raise OutOfRange(f"video must be at most {SIZE_LIMIT} bytes, got more")
            await run_in_threadpool(file.write, block)
