"""The photo of a job as it is stored with the case -> a picture of its record."""

from __future__ import annotations

from coreset.brief.pictures import Picture
from coreset.text import say

WIDTH, HEIGHT = 260, 190
"""Room on the page, the same for every photo."""


def photo(address: str) -> Picture:
    """A JPEG as a data address, as a picture of the record."""
    image = f'<image href="{address}" width="{WIDTH}" height="{HEIGHT}"/>'
    svg = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {HEIGHT}">{image}</svg>'
    return Picture(name="photo", title="", alt=say("brief.record.photo"), svg=svg, spec={})
