"""The brief as one HTML file that needs nothing else: style, fonts and charts are in it, and it asks no network."""

from __future__ import annotations

import base64
import re
from collections.abc import Callable, Mapping, Sequence
from html import escape
from importlib.resources import files
from typing import Any

from coreset.report.blocks import Block, Content
from coreset.text import say

FACES = {"SourceSansPro-Regular.otf": 400, "SourceSansPro-Semibold.otf": 600}
WHOLE = 16
"""Rows of a table, its heads among them, that is never parted on paper."""
SHORT = 36
"""Letters of the longest cell of a column that is never broken on paper."""
POLICY = "default-src 'none'; style-src 'unsafe-inline'; font-src data:; img-src data:"
NUMERIC = re.compile(r"^[−–\d](?!.* / )[^·×+=|]*$")
IDS = re.compile(r'(\bid="|url\(#|href="#)')
SPOKEN = re.compile(r'\s(?:aria-[a-z]+|role)="[^"]*"')


def html(said: Content, pictures: Mapping[str, Any]) -> str:
    """The same brief as the PDF, for a screen.

    Parameters
    ----------
    said, pictures
        As in `coreset.report.pdf.pdf`.

    Returns
    -------
    str
        One HTML document; opened from a disk it makes no request.
    """
    sections = [_section(said.one, pictures, level=2), _section(said.two, pictures, level=2)]
    if said.annex:
        sections.append(_section(said.annex, pictures, level=3, name="annex"))
    return "\n".join(
        [
            f'<!doctype html><html lang="{said.language}"><head><meta charset="utf-8">',
            f'<meta http-equiv="Content-Security-Policy" content="{POLICY}">',
            '<meta name="viewport" content="width=device-width, initial-scale=1">',
            f"<title>{escape(said.title)}: {escape(said.line)}</title>",
            f"<style>{_fonts()}{_read('brief.css')}</style></head><body><main>",
            f'<p class="line">{escape(said.title)} · {escape(said.line)}</p><h1>{escape(said.headline)}</h1>',
            *sections,
            "</main></body></html>",
        ]
    )


def _read(name: str) -> str:
    return (files("coreset.report") / name).read_text(encoding="utf-8")


def _fonts() -> str:
    faces = []
    for name, weight in FACES.items():
        data = base64.b64encode((files("coreset.report") / "fonts" / name).read_bytes()).decode()
        source = f"url(data:font/otf;base64,{data}) format('opentype')"
        faces.append(f"@font-face{{font-family:'Source Sans Pro';font-weight:{weight};src:{source}}}")
    return "\n".join(faces)


def _section(blocks: Sequence[Block], pictures: Mapping[str, Any], *, level: int, name: str = "page") -> str:
    inner = "".join(_block(block, pictures, level) for block in blocks)
    return f'<section class="{name}">{inner}</section>'


def _block(block: Block, pictures: Mapping[str, Any], level: int) -> str:
    setters: dict[str, Callable[[], str]] = {
        "heading": lambda: f"<h2>{escape(block.text)}</h2>",
        "subheading": lambda: f"<h{level}>{escape(block.text)}</h{level}>",
        "text": lambda: f'<p class="{"header" if level > 2 else "said"}">{escape(block.text)}</p>',
        "table": lambda: f"<h{level}>{escape(block.text)}</h{level}>{_table(block)}",
        "picture": lambda: _drawn(block.pictures, pictures),
        "pair": lambda: f'<div class="pair">{_drawn(block.pictures, pictures)}</div>',
        "figures": lambda: _four(block),
        "sign": lambda: f'<ul class="sign">{"".join(f"<li>{escape(row[0])}</li>" for row in block.rows)}</ul>',
    }
    return setters[block.kind]()


def _table(block: Block) -> str:
    heads, *rows = block.rows
    never = say("front.number.never")
    right = [all(NUMERIC.match(row[i]) or row[i] in {"", never} for row in rows) for i in range(len(heads))]
    short = [max(len(row[i]) for row in (heads, *rows) if any(row[1:])) <= SHORT for i in range(len(heads))]
    marks = [' class="right"' if r else ' class="short"' if s else "" for r, s in zip(right, short, strict=True)]
    top = "".join(f'<th scope="col"{mark}>{escape(cell)}</th>' for cell, mark in zip(heads, marks, strict=True))
    body = "".join(_row(row, marks) for row in rows)
    label = escape(block.text, quote=True)
    kept = " whole" if len(rows) < WHOLE else ""
    wide = f'<div class="wide{kept}" tabindex="0" role="region" aria-label="{label}">'
    return f"{wide}<table><thead><tr>{top}</tr></thead><tbody>{body}</tbody></table></div>"


def _row(row: Sequence[str], marks: Sequence[str]) -> str:
    """A row; one that says something of those below it goes across and stays with them."""
    if len(row) > 1 and not any(row[1:]):
        return f'<tr class="over"><td colspan="{len(row)}">{escape(row[0])}</td></tr>'
    return f"<tr>{_cells(row, marks)}</tr>"


def _cells(row: Sequence[str], marks: Sequence[str]) -> str:
    return "".join(f"<td{mark}>{escape(cell)}</td>" for cell, mark in zip(row, marks, strict=True))


def _drawn(names: Sequence[str], pictures: Mapping[str, Any]) -> str:
    return "".join(f'<figure tabindex="0">{_svg(pictures[name])}</figure>' for name in names)


def _svg(picture: Any) -> str:
    """The drawing with its words for those who cannot see it, its inner names its own."""
    body = SPOKEN.sub("", IDS.sub(rf"\g<1>{picture.name}-", picture.svg))
    label = escape(picture.alt, quote=True)
    return body[body.index("<svg") :].replace("<svg", f'<svg role="img" aria-label="{label}"', 1)


def _four(block: Block) -> str:
    rows = "".join(
        f'<div><dt>{escape(f.what)}</dt><dd class="value">{escape(f.value)}</dd>'
        f'<dd class="ends">{escape(f.interval)}</dd></div>'
        for f in block.figures
    )
    return f'<dl class="four">{rows}</dl>'
