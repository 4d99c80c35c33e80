"""A photo for the record of a job: what was uploaded -> a small picture without what the camera wrote in it."""

from __future__ import annotations

import base64

from coreset.brief.pictures import Picture
from coreset.report.camera_picture import as_jpeg, upright
from coreset.text import say

SIDE_PX, QUALITY = 1000, 80
WIDTH, HEIGHT = 260, 190
"""Room on the page, the same for every photo."""


def photo(content: bytes) -> Picture:
    """A photo as a picture of the record.

    Raises
    ------
    OutOfRange
        If it is too large, or no photo that can be read.
    """
    encoded = base64.b64encode(as_jpeg(upright(content, SIDE_PX, "photo"), SIDE_PX, QUALITY)).decode("ascii")
    image = f'<image href="data:image/jpeg;base64,{encoded}" width="{WIDTH}" height="{HEIGHT}"/>'
    svg = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}">{image}</svg>'
    return Picture(name="photo", title="", alt=say("brief.record.photo"), svg=svg, spec={})
