"""A photo for the record of a job: what was uploaded -> a small picture without what the camera wrote in it."""

from __future__ import annotations

import base64
import io
import warnings

from coreset.brief.pictures import Picture
from coreset.errors import OutOfRange
from coreset.text import say

MOST_BYTES, MOST_PIXELS = 15_000_000, 60_000_000
"""What a telephone takes is smaller; anything larger is refused before it is unpacked."""
SIDE, QUALITY = 1000, 80
KINDS = ("JPEG", "PNG", "WEBP")
WIDTH, HEIGHT = 260, 190
"""Room on the page, the same for every photo."""


def photo(content: bytes) -> Picture:
    """A photo as a picture of the record.

    It is read, turned upright, made smaller and written anew, so that place, time and device, and whatever else the
    file carried, do not reach the paper.

    Raises
    ------
    OutOfRange
        If it is too large, or no photo that can be read.
    """
    encoded = base64.b64encode(_again(content)).decode("ascii")
    image = f'<image href="data:image/jpeg;base64,{encoded}" width="{WIDTH}" height="{HEIGHT}"/>'
    svg = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}">{image}</svg>'
    return Picture(name="photo", title="", alt=say("brief.record.photo"), svg=svg, spec={})


def _again(content: bytes) -> bytes:
    """The photo, upright and small, as a new JPEG."""
    from PIL import Image, ImageOps, UnidentifiedImageError

    if len(content) > MOST_BYTES:
        raise OutOfRange(say("brief.record.photo_large", most=f"{MOST_BYTES // 1_000_000}"))
    try:
        with warnings.catch_warnings(), Image.open(io.BytesIO(content), formats=KINDS) as found:
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)
            if found.width * found.height > MOST_PIXELS:
                raise OutOfRange(say("brief.record.photo_large", most=f"{MOST_BYTES // 1_000_000}"))
            upright = ImageOps.exif_transpose(found).convert("RGB")
    except (UnidentifiedImageError, Image.DecompressionBombError, OSError, ValueError, SyntaxError) as error:
        if isinstance(error, OutOfRange):
            raise
        raise OutOfRange(say("brief.record.photo_wrong")) from error
    upright.thumbnail((SIDE, SIDE))
    written = io.BytesIO()
    upright.save(written, "JPEG", quality=QUALITY)
    return written.getvalue()
