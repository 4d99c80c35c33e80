"""A case as the workbook that the reader takes, for tests; and workbooks broken on purpose."""

import io
import json
import zipfile

import xlsxwriter

from coreset.store import folder


def cell(value):
    """A value as a cell: a list as words with semicolons, or as JSON where a word has one."""
    if isinstance(value, list) and any(";" in str(one) for one in value):
        return json.dumps(value, ensure_ascii=False)
    if isinstance(value, list):
        return "; ".join(map(str, value))
    return value


def put(sheet, heads, rows):
    """A head and rows."""
    sheet.write_row(0, 0, heads)
    for number, row in enumerate(rows, start=1):
        for column, head in enumerate(heads):
            value = cell(row.get(head))
            if isinstance(value, str):
                sheet.write_string(number, column, value)
            elif value is not None:
                sheet.write(number, column, value)


def spread(row):
    """A row with its ranges in columns of their own."""
    found = {}
    for key, value in row.items():
        if isinstance(value, dict):
            found |= {key if part == "likely" else f"{key}_{part}": inner for part, inner in value.items()}
        else:
            found[key] = value
    return found


def heads_of(rows, first=()):
    """Every key that any row has."""
    return list(dict.fromkeys([*first, *(key for row in rows for key in row)]))


def keys(tree, prefix=""):
    """The tree of case.toml as rows of the sheet `case`."""
    for key, value in tree.items():
        if isinstance(value, dict) and "likely" in value:
            yield {"key": prefix + key, "value": value["likely"], **{k: v for k, v in value.items() if k != "likely"}}
        elif isinstance(value, dict):
            yield from keys(value, f"{prefix}{key if key.isidentifier() else json.dumps(key)}.")
        elif not (isinstance(value, list) and value and isinstance(value[0], dict)):
            yield {"key": prefix + key, "value": value}


def workbook_of(case):
    """The bytes of a workbook with the whole case."""
    parts, stream = folder.plain(case), io.BytesIO()
    studies = parts.pop("studies")
    tables = {name: parts.pop(name) for name in ("patterns", "cores", "lifts", "actions", "scrap", "raters", "drivers")}
    below = {
        "stops": parts["line"].get("stop", []),
        "steps": [{"method": n, **one} for n, table in parts["method"].items() for one in table.get("step", [])],
        "allowances": [{"name": n, **one} for n, t in parts["allowances"].items() for one in t.get("line", [])],
        "elements": [{"study": one["study"], **part} for one in studies for part in one["element"]],
        "corrections": [{"study": one["study"], **part} for one in studies for part in one["corrections"]],
        "readings": [
            {"study": one["study"], **dict(zip(one["readings"], row, strict=True))}
            for one in studies
            for row in zip(*one["readings"].values(), strict=True)
        ],
    }
    plain_keys = ("element", "readings", "corrections")
    tables["studies"] = [{k: v for k, v in one.items() if k not in plain_keys} for one in studies]
    with xlsxwriter.Workbook(stream) as book:
        put(book.add_worksheet("case"), ["key", "value", "low", "high", "source"], list(keys(parts)))
        for name, rows in (tables | below).items():
            rows = [spread(row) for row in rows]
            if rows:
                put(book.add_worksheet(name), heads_of(rows), rows)
    return stream.getvalue()


def repacked(content, change, extra=None):
    """The workbook with its parts changed: `change` takes a name and bytes and gives bytes, or None to leave it out."""
    stream = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as old, zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as new:
        for part in old.infolist():
            inner = change(part.filename, old.read(part))
            if inner is not None:
                new.writestr(part.filename, inner)
        for name, inner in (extra or {}).items():
            new.writestr(name, inner)
    return stream.getvalue()
