"""A picture as it was taken -> a small JPEG as text, without what a camera writes beside it (place, time, device)."""

from __future__ import annotations

import base64
import io

from coreset.case.study import MOST_PICTURE, PICTURE
from coreset.errors import OutOfRange

TYPES = ("jpg", "jpeg", "png", "webp")
MOST_MEGABYTES = 12
MOST_PIXELS = 60_000_000
"""Pixels of the largest picture that is opened, 180 MB unpacked; cameras of tablets have 12 million and more."""
SIZES = ((320, 80), (320, 60), (240, 60), (160, 50), (96, 40))
"""Longer side [px] and quality, tried in turn until the text is short enough."""


def small(content: bytes, *, name: str = "picture") -> str:
    """A picture of at most 320 px as text, upright as it was taken.

    Raises
    ------
    OutOfRange
        If it is no picture that can be opened, or larger than `MOST_PIXELS`.
    """
    from PIL import Image, ImageOps  # not with the first page

    try:
        with Image.open(io.BytesIO(content), formats=("JPEG", "PNG", "WEBP")) as opened:
            if opened.width * opened.height > MOST_PIXELS:
                raise OutOfRange(
                    f"{name} must have at most {MOST_PIXELS:,} pixels, got {opened.width:,} x {opened.height:,}"
                )
            opened.draft("RGB", (640, 640))
            upright = ImageOps.exif_transpose(opened).convert("RGB")
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError) as error:
        if isinstance(error, OutOfRange):
            raise
        raise OutOfRange(f"{name} must be a picture (JPEG, PNG or WebP), got what cannot be opened") from error
    for side, quality in SIZES:
        smaller, stream = upright.copy(), io.BytesIO()
        smaller.thumbnail((side, side))
        smaller.save(stream, "JPEG", quality=quality, optimize=True)
        text = PICTURE + base64.b64encode(stream.getvalue()).decode()
        if len(text) <= MOST_PICTURE:
            return text
    raise OutOfRange(f"{name} must fit {MOST_PICTURE:,} characters when it is small, got more")
