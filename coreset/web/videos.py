"""Videos that may be marked: found in the folders the user named, kept, measured and hashed without loading them."""

from __future__ import annotations

import asyncio
import hashlib
import math
import os
import time
from collections.abc import AsyncIterator, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from tempfile import mkstemp
from typing import BinaryIO

from starlette.concurrency import run_in_threadpool

from coreset.case.codes import code_rule, folded
from coreset.errors import OutOfRange
from coreset.number_text import number

SUFFIXES = {".mp4", ".m4v", ".mov", ".webm", ".mkv"}
NAME_LONGEST = 121
GB = 10**9
FILE_GB, TOTAL_GB, MINUTES = "CORESET_VIDEO_GB", "CORESET_VIDEOS_GB", "CORESET_VIDEO_MINUTES"
LIMITS = {FILE_GB: 8.0, TOTAL_GB: 100.0, MINUTES: 120.0}
"""Environment variables that limit uploads, each with what holds without it: size of one video, size of all uploads
together [GB, 10^9 bytes], and time that one upload may take [min]."""
PART = ".part"
COMING: dict[Path, int] = {}
"""Bytes of the uploads that this server is taking in, by the file they are written to."""
BLOCK = 1024**2
VARIABLE = "CORESET_VIDEOS"
"""Environment variable with the folder of videos that the user named at start."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Film:
    """One video file, as the study will name it."""

    name: str
    bytes: int
    sha256: str


def limit(name: str) -> float:
    """A limit of uploads as the environment sets it.

    Raises
    ------
    OutOfRange
        If it is no number above 0.
    """
    text = os.environ.get(name, "").strip()
    try:
        value = number(text) if text else LIMITS[name]
    except ValueError:
        value = math.nan
    if not 0 < value < math.inf:
        raise OutOfRange(f"{name} must be a number above 0, got {text[:40]!r}")
    return value


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
    return path.suffix.lower() in SUFFIXES and not code_rule(path.name, longest=NAME_LONGEST) and path.is_file()


def find(name: str, where: Sequence[Path]) -> Path | None:
    """The file of that name, None if no folder has it; a name that leads out of the folder is in none."""
    if code_rule(name, longest=NAME_LONGEST):
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
    """Write an uploaded video block by block into a file of its own; it gets its name only when it is whole.

    Two uploads of one name at the same time do not meet: the first one that is whole has the name, the other is
    refused, and nothing that was acknowledged is written again.

    Raises
    ------
    OutOfRange
        If the name is none for a video, one of that name is there, it or all uploads together are too large, it
        takes too long, or the disk does not take it.
    """
    if code_rule(name, longest=NAME_LONGEST) or Path(name).suffix.lower() not in SUFFIXES:
        raise OutOfRange(f"video name must be plain and end in one of {', '.join(sorted(SUFFIXES))}, got {name[:80]!r}")
    folder.mkdir(parents=True, exist_ok=True)
    if find(name, folders()) is not None or _taken(name, folder):
        raise OutOfRange(f"video name must be new, got {name!r}, which is kept already")
    _clear(folder)
    handle, path = mkstemp(dir=folder, prefix=".", suffix=PART)
    part = Path(path)
    try:
        with os.fdopen(handle, "wb") as file:
            async with asyncio.timeout(limit(MINUTES) * 60):
                written = await _write(file, part, blocks, folder)
        os.link(part, folder / name)
    except FileExistsError as error:
        raise OutOfRange(f"video name must be new, got {name!r}, which is kept already") from error
    except TimeoutError as error:
        raise OutOfRange(f"video must come within {limit(MINUTES):g} minutes, got only a part of it") from error
    except OSError as error:
        raise OutOfRange(f"video must be writable, got {error.strerror}") from error
    finally:
        part.unlink(missing_ok=True)
    found = await run_in_threadpool(measured, folder / name)
    if found.sha256 != written:
        raise OutOfRange(f"video must be on the disk as it was sent, got other bytes in {name!r}: do not use that file")
    return found


async def _write(file: BinaryIO, part: Path, blocks: AsyncIterator[bytes], folder: Path) -> str:
    """Write the blocks, down to the disk; SHA-256 of what was sent."""
    digest, size, most = hashlib.sha256(), 0, limit(FILE_GB) * GB
    try:
        async for block in blocks:
            size += len(block)
            if size > most:
                raise OutOfRange(f"video must be at most {limit(FILE_GB):g} GB, got more")
            COMING[part] = size
            if _held(folder) + sum(n for path, n in COMING.items() if path.parent == folder) > limit(TOTAL_GB) * GB:
                raise OutOfRange(f"videos must be at most {limit(TOTAL_GB):g} GB in all, got no room for this one")
            digest.update(block)
            await run_in_threadpool(file.write, block)
        await run_in_threadpool(_to_disk, file)
    finally:
        COMING.pop(part, None)
    return digest.hexdigest()


def _to_disk(file: BinaryIO) -> None:
    file.flush()
    os.fsync(file.fileno())


def _held(folder: Path) -> int:
    """Bytes of the videos in a folder, without those that are still coming."""
    found = [item for item in list(os.scandir(folder)) if not item.name.endswith(PART)]
    return sum(item.stat(follow_symlinks=False).st_size for item in found)


def _taken(name: str, folder: Path) -> bool:
    """Whether a file has that name, capitals aside."""
    return any(folded(item) == folded(name) for item in os.listdir(folder))


def _clear(folder: Path) -> None:
    """Remove parts that a server which was ended left behind: older than an upload may take."""
    for item in folder.glob(f"*{PART}"):
        with suppress(OSError):
            if item not in COMING and time.time() - item.stat().st_mtime > 2 * limit(MINUTES) * 60:
                item.unlink()
