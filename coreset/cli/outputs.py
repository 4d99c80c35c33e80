"""What `coreset brief` writes, by the ending of the file."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

from coreset.errors import CoresetError

Output = Callable[..., Path]


def output(path: Path) -> Output:
    """The writer for a file's ending; a name without one is a folder of tables.

    Raises
    ------
    CoresetError
        If there is none for it.
    """
    writers: dict[str, Output] = {".pdf": _pdf, ".html": _html, ".xlsx": _workbook, ".json": _json, "": _tables}
    if path.suffix.lower() not in writers:
        raise CoresetError(f"file must end in .pdf, .html, .xlsx, .json or be a folder name, got {path.name!r}")
    return writers[path.suffix.lower()]


def _kept(path: Path, content: bytes) -> Path:
    try:
        path.write_bytes(content)
    except OSError as error:
        raise CoresetError(f"{path} must be writable, got: {error.strerror}") from error
    return path


def _pdf(assessment: Any, path: Path, *, full: bool) -> Path:
    from coreset.brief.pdf import pdf
    from coreset.charts.pictures import pictures

    return _kept(path, pdf(assessment, pictures(assessment), full=full))


def _html(assessment: Any, path: Path, *, full: bool) -> Path:
    from coreset.brief.html import html
    from coreset.charts.pictures import pictures

    return _kept(path, html(assessment, pictures(assessment), full=full).encode())


def _json(assessment: Any, path: Path, *, full: bool) -> Path:
    from coreset.brief.document import document

    return _kept(path, json.dumps(document(assessment), indent=2, ensure_ascii=False, allow_nan=False).encode())


def _workbook(assessment: Any, path: Path, *, full: bool) -> Path:
    from coreset.brief.workbook import workbook

    return _kept(path, workbook(assessment))


def _tables(assessment: Any, path: Path, *, full: bool) -> Path:
    from coreset.brief.dataset import dataset
    from coreset.charts.pictures import pictures

    path.mkdir(parents=True, exist_ok=True)
    for name, content in dataset(assessment, pictures(assessment)).items():
        _kept(path / name, content)
    return path
