"""Everything that was found as open data: tidy tables, the document with its schema, every chart as SVG and PNG."""

from __future__ import annotations

import csv
import io
import json
import zipfile
from collections.abc import Iterable, Mapping
from typing import Any

from coreset.brief import draws, tidy
from coreset.brief.annex import source_rows
from coreset.brief.detail import Detail
from coreset.brief.document import document, plain, printed, schema
from coreset.brief.sources_used import sources_used
from coreset.errors import CoresetError
from coreset.report.blocks import heads
from coreset.store.folder.writer import files_of
from coreset.study.register import register_rows

RISKY = ("=", "+", "-", "@", "\t", "\r")
LEFT_OUT = {"elements", "shares", "critical", "waits_for", "origin", "destination", "parts", "end"}


def dataset(assessment: Any, pictures: Mapping[str, Any], detail: Detail | None = None) -> dict[str, bytes]:
    """Files by name.

    Parameters
    ----------
    assessment : Assessment
        The whole job.
    pictures : mapping of str to Picture
        Charts to go along.
    detail : Detail, optional
        What the pages calculate beside the assessment; without it, its tables are left out.

    Returns
    -------
    dict
        `*.csv` with one row a thing and one column a variable, unit in its name; `draws_*.csv` with the draws behind
        every chance and interval, a column a figure; `assessment.json` and its schema;
        `chart_*.svg` and `chart_*.png`; the case itself below `case/`.
    """
    found = document(assessment)
    every = tables(assessment, found) | ({} if detail is None else tidy.more(assessment, detail))
    files = {f"{name}.csv": table(rows) for name, rows in every.items() if rows}
    files |= {f"draws_{name}.csv": drawn(each) for name, each in draws.columns(assessment).items() if each}
    files["assessment.json"] = printed(found).encode()
    files["assessment.schema.json"] = json.dumps(schema(), indent=2).encode()
    return files | case_files(assessment.case) | chart_files(pictures)


def chart_files(pictures: Mapping[str, Any]) -> dict[str, bytes]:
    """Each chart as SVG and as PNG, named by what it shows."""
    files: dict[str, bytes] = {}
    for name, picture in pictures.items():
        files[f"chart_{name}.svg"] = picture.svg.encode()
        files[f"chart_{name}.png"] = picture.png()
    return files


def case_files(case: Any) -> dict[str, bytes]:
    """The case folder by file, below `case/`: `coreset import case` takes it back."""
    return {f"case/{name}": text.encode() for name, text in files_of(case).items()}


def tables(assessment: Any, found: Mapping[str, Any]) -> dict[str, list[dict[str, Any]]]:
    """Every table as rows of named values."""
    money = found["money"] or {}
    return {
        "standards": [_flat(row) for row in found["standards"]],
        "register": register_rows(assessment.register),
        "elements": [
            {"study": row["study"], **_flat(item)} for row in found["standards"] for item in row["elements"] or []
        ],
        "mold_cycles": [_flat(row) for row in found["mold_cycles"]],
        "handling": [_flat(row) | _ends(row) for row in found["handling"]],
        "jobs": [row | {name: " ".join(row[name]) for name in ("at_least", "because")} for row in found["jobs"]],
        "line": [_flat(row) for row in found["line"]],
        "cash_flow": [_flat(row) | row["parts"] for row in money.get("cash_flow", [])],
        "patterns": [_flat(row) for row in money.get("patterns", [])],
        "drivers": [_flat(row) for row in money.get("drivers", [])],
        "knowing": [_flat(row) for row in money.get("knowing", [])],
        "inputs": [{"input": name, **plain(value)} for name, value in _ranges(assessment.case.money)],
        "sources": [dict(zip(heads("sources"), row, strict=True)) for row in source_rows(sources_used(assessment))],
    }


def _ranges(money: Any) -> Iterable[tuple[str, Any]]:
    from coreset.case import Range

    for name in type(money).__dataclass_fields__:
        value = getattr(money, name)
        if isinstance(value, Range):
            yield name, value


def _flat(row: Mapping[str, Any]) -> dict[str, Any]:
    """A row without the parts that are tables of their own."""
    return {name: value for name, value in row.items() if name not in LEFT_OUT and not isinstance(value, dict | list)}


def _ends(row: Mapping[str, Any]) -> dict[str, Any]:
    return {f"{name}_{end}": value for end in ("origin", "destination") for name, value in row[end].items()}


def table(rows: Iterable[Mapping[str, Any]]) -> bytes:
    """Rows as CSV, UTF-8; a text that a spreadsheet would run is led by an apostrophe.

    Examples
    --------
    >>> table([{"task": "=1+1", "li": -0.5}, {"task": "a", "li": None}]).decode().splitlines()
    ['task,li', "'=1+1,-0.5", 'a,']
    """
    rows = list(rows)
    names = list(dict.fromkeys(name for row in rows for name in row))
    text = io.StringIO()
    writer = csv.DictWriter(text, names, restval="", lineterminator="\n")
    writer.writeheader()
    writer.writerows({name: _cell(value) for name, value in row.items()} for row in rows)
    return text.getvalue().encode()


def drawn(found: draws.Columns) -> bytes:
    """Draws as CSV, one column a figure."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(map(_cell, found))
    writer.writerows(draws.lines(found))
    return text.getvalue().encode()


def _cell(value: Any) -> Any:
    if isinstance(value, str) and value.startswith(RISKY):
        return f"'{value}"
    return "" if value is None else value


def archive(files: Mapping[str, bytes]) -> bytes:
    """The files as one ZIP archive; the same files give the same bytes.

    Raises
    ------
    CoresetError
        If a name is a path that leads out of the folder that the archive is unpacked in.
    """
    for name in files:
        if not name or name.startswith("/") or set(name) & set("\\:\0") or ".." in name.split("/"):
            raise CoresetError(f"path in an archive must stay inside it, got {name[:200]!r}")
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as pack:
        for name, content in sorted(files.items()):
            pack.writestr(zipfile.ZipInfo(name), content, zipfile.ZIP_DEFLATED)
    return buffer.getvalue()
