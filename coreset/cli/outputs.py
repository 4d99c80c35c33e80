"""What `coreset brief` writes, by the ending of the file."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

from coreset.cli.progress import Told
from coreset.errors import CoresetError
from coreset.text import say

Output = Callable[..., Path]
DETAIL = 0.3
"""Share of the work that is done when the charts begin to be drawn."""


def output(path: Path) -> Output:
    """The writer for a file's ending; a name without one is a folder of all data, .zip the same as one archive.

    Raises
    ------
    CoresetError
        If there is none for it.
    """
    writers: dict[str, Output] = {
        ".pdf": _pdf,
        ".html": _html,
        ".xlsx": _workbook,
        ".json": _json,
        ".zip": _archive,
        "": _folder,
    }
    if path.suffix.lower() not in writers:
        raise CoresetError(f"file must end in .pdf, .html, .xlsx, .json, .zip or be a folder name, got {path.name!r}")
    return writers[path.suffix.lower()]


def written(path: Path, content: bytes) -> Path:
    """Put a file down, its folders made where they are missing."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
    except OSError as error:
        raise CoresetError(f"{path} must be writable, got: {error.strerror}") from error
    return path


def _pdf(assessment: Any, path: Path, *, full: bool, told: Told) -> Path:
    from coreset.brief.pictures import pictures
    from coreset.brief.rendered import pdf

    return written(path, pdf(assessment, pictures(assessment), full=full))


def _html(assessment: Any, path: Path, *, full: bool, told: Told) -> Path:
    from coreset.brief.pictures import pictures
    from coreset.brief.rendered import html

    return written(path, html(assessment, pictures(assessment), full=full).encode())


def _json(assessment: Any, path: Path, *, full: bool, told: Told) -> Path:
    from coreset.brief.document import document

    return written(path, json.dumps(document(assessment), indent=2, ensure_ascii=False, allow_nan=False).encode())


def _workbook(assessment: Any, path: Path, *, full: bool, told: Told) -> Path:
    from coreset.brief.workbook import workbook

    return written(path, workbook(assessment))


def _folder(assessment: Any, path: Path, *, full: bool, told: Told) -> Path:
    for name, content in _everything(assessment, told).items():
        written(path / name, content)
    return path


def _archive(assessment: Any, path: Path, *, full: bool, told: Told) -> Path:
    from coreset.brief.dataset import archive

    return written(path, archive(_everything(assessment, told)))


def _everything(assessment: Any, told: Told) -> dict[str, bytes]:
    """Every table, every chart, the document and the case, by the name of the file."""
    from coreset.brief.dataset import dataset
    from coreset.brief.detail import detail
    from coreset.brief.every_chart import drawn, every

    found = detail(assessment, progress=lambda share: told(DETAIL * share, say("cli.stage.detail")))
    wanted = every(assessment, found)
    pictures = drawn(wanted, progress=lambda share: told(DETAIL + (1 - DETAIL) * share, say("cli.stage.charts")))
    return dataset(assessment, pictures, found)


def write_case(case: Any, path: Path) -> dict[str, str]:
    """Write a case as a folder of plain files, or as a .zip of that folder; the codes that were renamed for it."""
    from coreset.brief.dataset import archive
    from coreset.case.codes import safe_name, with_safe_codes
    from coreset.store.folder import build, plain, write
    from coreset.store.folder.writer import files_of

    if path.suffix.lower() != ".zip":
        return write(case, path)
    safe, renamed = with_safe_codes(case)
    build(plain(safe), file=path.name)
    top = safe_name(path.stem)
    written(path, archive({f"{top}/{name}": text.encode() for name, text in files_of(case).items()}))
    return renamed
