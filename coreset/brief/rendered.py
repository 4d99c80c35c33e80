"""The brief of an assessment as PDF or HTML. In: an assessment and its pictures. Out: the file's content."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from coreset.brief.content import content


def pdf(assessment: Any, pictures: Mapping[str, Any], *, full: bool = False) -> bytes:
    """Two pages for the board; the annex after them in the long form.

    Parameters
    ----------
    assessment : Assessment
        The whole job.
    pictures : mapping of str to Picture
        Charts by name, from `coreset.brief.pictures`.
    full : bool
        Whether the annex is set as well.

    Returns
    -------
    bytes
        PDF/UA-1: tagged, with language, title and text alternatives.
    """
    from coreset.report.pdf import pdf as typeset

    return typeset(content(assessment, pictures, full=full), pictures)


def sheets(assessment: Any, pictures: Mapping[str, Any]) -> list[bytes]:
    """The two pages for the board as they are printed, one PNG a page; parameters as in `pdf`."""
    from coreset.report.pdf import sheets as drawn

    return drawn(content(assessment, pictures), pictures)


def html(assessment: Any, pictures: Mapping[str, Any], *, full: bool = False) -> str:
    """The same brief as the PDF, for a screen; parameters as in `pdf`. Opened from a disk it makes no request.

    Parameters
    ----------
    assessment : Assessment
        The whole job.
    pictures : mapping of str to Picture
        Charts by name, from `coreset.brief.pictures`.
    full : bool
        Whether the annex is set as well.
    """
    from coreset.report.html import html as marked_up

    return marked_up(content(assessment, pictures, full=full), pictures)
