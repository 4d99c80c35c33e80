"""The brief as a tagged PDF/UA-1, typeset on this machine with the fonts that are shipped."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import asdict
from importlib.resources import as_file, files
from typing import Any

from coreset.errors import CoresetError
from coreset.report.blocks import Content
from coreset.text import say

STANDARD = "ua-1"
NO_GLYPH = re.compile(r'the text `"(.+?)"` could not be displayed')
BOX = "\N{WHITE SQUARE}"
MISSING_LETTERS = 100
PREVIEW_PPI = 110.0
"""Dots an inch of a page on the screen: its small print can be read, and it is drawn in a fraction of a second."""


def pdf(content: Content, pictures: Mapping[str, Any]) -> bytes:
    """Two pages for the board, the annex after them in the long form.

    Parameters
    ----------
    content : Content
        Blocks of page one, page two and the annex.
    pictures : mapping of str to Picture
        Charts by name.

    Returns
    -------
    bytes
        PDF/UA-1: tagged, with language, title and text alternatives.
    """
    return _typeset(_said(content, pictures), "pdf", pdf_standards=STANDARD)


def sheets(content: Content, pictures: Mapping[str, Any]) -> list[bytes]:
    """The same pages as pictures for a preview; parameters as in `pdf`.

    Returns
    -------
    list of bytes
        One PNG a page, `PREVIEW_PPI` dots an inch.
    """
    found = _typeset(_said(content, pictures), "png", ppi=PREVIEW_PPI)
    return found if isinstance(found, list) else [found]


def _said(content: Content, pictures: Mapping[str, Any]) -> str:
    said = asdict(content)
    said["pictures"] = {name: {"svg": found.svg, "alt": found.alt} for name, found in pictures.items()}
    said["never"] = say("front.number.never")
    return json.dumps(said, ensure_ascii=False)


def _typeset(said: str, form: str, **how: Any) -> Any:
    """Set the pages; a letter that no font has is set as a box, or as ? in a style without one.

    PDF/UA-1 allows no missing glyph.
    """
    import typst

    root = files("coreset.report")
    with as_file(root / "brief.typ") as template, as_file(root / "fonts") as fonts:
        for _ in range(MISSING_LETTERS):
            try:
                return typst.compile(
                    template,
                    font_paths=[str(fonts)],
                    format=form,
                    sys_inputs={"content": said},
                    **how,
                )
            except typst.TypstError as error:
                missing = NO_GLYPH.search(str(error))
                if not missing:
                    raise
                said = said.replace(missing.group(1), BOX if missing.group(1) != BOX else "?")
    raise CoresetError(f"text of the brief must be in letters that a font has, got over {MISSING_LETTERS} without one")
