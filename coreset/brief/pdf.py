"""The brief as a tagged PDF/UA-1, typeset on this machine with the fonts that are shipped."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import asdict
from importlib.resources import as_file, files
from typing import Any

from coreset.brief.content import content
from coreset.brief.text import say

STANDARD = "ua-1"


def pdf(assessment: Any, pictures: Mapping[str, Any], *, full: bool = False) -> bytes:
    """Two pages for the board, the annex after them in the long form.

    Parameters
    ----------
    assessment : Assessment
        The whole job.
    pictures : mapping of str to Picture
        Charts by name, from `coreset.charts.pictures`.
    full : bool
        Whether the annex is set as well.

    Returns
    -------
    bytes
        PDF/UA-1: tagged, with language, title and text alternatives.
    """
    import typst

    said = asdict(content(assessment, pictures, full=full))
    said["pictures"] = {name: {"svg": found.svg, "alt": found.alt} for name, found in pictures.items()}
    said["never"] = say("front.number.never")
    root = files("coreset.brief")
    with as_file(root / "brief.typ") as template, as_file(root / "fonts") as fonts:
        return typst.compile(
            template,
            font_paths=[str(fonts)],
            ignore_system_fonts=True,
            format="pdf",
            pdf_standards=STANDARD,
            sys_inputs={"content": json.dumps(said, ensure_ascii=False)},
        )
