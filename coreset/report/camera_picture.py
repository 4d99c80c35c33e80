"""A picture from a camera, opened safely: upright, in three colors, without what the camera wrote beside it."""

from __future__ import annotations

import io
import warnings
from typing import Any

from coreset.errors import OutOfRange

KINDS = ("JPEG", "PNG", "WEBP")
TYPES = ("jpg", *map(str.lower, KINDS))
MOST_MEGABYTES = 15
MOST_BYTES = MOST_MEGABYTES * 1024**2
"""As the framework counts the megabytes of an upload."""
MOST_PIXELS = 60_000_000
"""Pixels of the largest picture that is opened, 180 MB unpacked; cameras of tablets have 12 million and more."""


def upright(content: bytes, side_px: int, name: str) -> Any:
    """The picture as `PIL.Image.Image`; saved again, it tells no place, time or device.

    Parameters
    ----------
    content : bytes
        A JPEG, PNG or WebP file.
    side_px : int
        Longer side at most: what is larger is made smaller, a JPEG while it is unpacked. [px]
    name : str
        What a refusal calls it.

    Raises
    ------
    OutOfRange
        If it is no picture that can be opened, or too large.
    """
    from PIL import Image, ImageOps  # not with the first page

    if len(content) > MOST_BYTES:
        raise OutOfRange(f"{name} must have at most {MOST_BYTES:,} bytes, got {len(content):,}")
    try:
        with warnings.catch_warnings(), Image.open(io.BytesIO(content), formats=KINDS) as opened:
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            if opened.width * opened.height > MOST_PIXELS:
                raise OutOfRange(
                    f"{name} must have at most {MOST_PIXELS:,} pixels, got {opened.width:,} x {opened.height:,}"
                )
            opened.draft("RGB", (2 * side_px, 2 * side_px))
            ImageOps.exif_transpose(opened, in_place=True)
            found = opened.convert("RGB")
            found.thumbnail((side_px, side_px))
            return found
    except OutOfRange:
        raise
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError) as error:
        raise OutOfRange(f"{name} must be a picture (JPEG, PNG or WebP), got what cannot be opened") from error


def as_jpeg(picture: Any, side_px: int, quality: int) -> bytes:
    """A JPEG of it, made smaller where it is larger.

    Parameters
    ----------
    picture : PIL.Image.Image
        As `upright` gives it.
    side_px : int
        Longer side at most. [px]
    quality : int
        As libjpeg counts, 1 to 95.
    """
    smaller, stream = picture.copy(), io.BytesIO()
    smaller.thumbnail((side_px, side_px))
    smaller.save(stream, "JPEG", quality=quality, optimize=True)
    return stream.getvalue()
