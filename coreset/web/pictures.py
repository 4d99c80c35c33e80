"""A picture as it was taken -> a small JPEG as text, without what a camera writes beside it (place, time, device)."""

from __future__ import annotations

import base64

from coreset.case.study import MOST_PICTURE, PICTURE
from coreset.errors import OutOfRange
from coreset.report.camera_picture import as_jpeg, upright

SIZES = ((480, 70), (400, 70), (320, 80), (320, 60), (240, 60), (160, 50), (96, 40))
"""Longer side [px] and quality, tried in turn until the text is short enough."""


def small(content: bytes, *, name: str = "picture") -> str:
    """A picture of at most 480 px as text, upright as it was taken.

    Raises
    ------
    OutOfRange
        If it is no picture that can be opened, or too large.
    """
    taken = upright(content, SIZES[0][0], name)
    for side, quality in SIZES:
        text = PICTURE + base64.b64encode(as_jpeg(taken, side, quality)).decode()
        if len(text) <= MOST_PICTURE:
            return text
    raise OutOfRange(f"{name} must fit {MOST_PICTURE:,} characters when it is small, got more")
