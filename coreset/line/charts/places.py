"""Where a label may stand in a chart of straight lines: the first place offered that crosses no line and no label."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

LETTER_PX, HEIGHT_PX = 7.0, 15.0
SAMPLES = 240
Line = tuple[tuple[float, float], tuple[float, float]]


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelSpot:
    """A place for a label: a point in the chart's own units, how the text lies to it, pixels aside."""

    x: float
    y: float
    align: str = "left"
    dx: float = 0.0
    dy: float = 0.0


@dataclass(slots=True, kw_only=True)
class ChartFrame:
    """The drawn frame: lines in the chart's units, what x and y run to, widths at which it may be shown. [px]"""

    lines: Sequence[Line]
    x_most: float
    y_most: float
    widths: tuple[float, ...]
    height: float
    taken: list[tuple[str, LabelSpot]] = field(default_factory=list)

    def put(self, text: str, offered: Iterable[LabelSpot]) -> LabelSpot:
        """Take the first free place offered for a text; the one with the fewest crossings if none is free."""
        spots = list(offered)
        best = min(spots, key=lambda spot: self.crossings(text, spot))
        self.taken.append((text, best))
        return best

    def crossings(self, text: str, spot: LabelSpot) -> int:
        """Samples of lines within the text's box and labels that meet it, over all widths; 0 is free."""
        return sum(self._met(text, spot, width) for width in self.widths)

    def _met(self, text: str, spot: LabelSpot, width: float) -> int:
        left, right, top, bottom = self._box(text, spot, width)
        met = sum(
            left <= width * (a + (c - a) * t) / self.x_most <= right
            and top <= self.height * (1 - (b + (d - b) * t) / self.y_most) <= bottom
            for (a, b), (c, d) in self.lines
            for t in (k / SAMPLES for k in range(SAMPLES + 1))
        )
        met += SAMPLES * (left < 0 or right > width or top < 0 or bottom > self.height)
        for other in self.taken:
            l2, r2, t2, b2 = self._box(*other, width)
            met += SAMPLES * (left < r2 and l2 < right and top < b2 and t2 < bottom)
        return met

    def _box(self, text: str, spot: LabelSpot, width: float) -> tuple[float, float, float, float]:
        wide = LETTER_PX * len(text)
        start = width * spot.x / self.x_most + spot.dx
        start -= {"left": 0.0, "center": wide / 2, "right": wide}[spot.align]
        middle = self.height * (1 - spot.y / self.y_most) + spot.dy
        return start, start + wide, middle - HEIGHT_PX / 2, middle + HEIGHT_PX / 2
