"""Charts as pictures for paper and for sharing: SVG and PNG in the look, each with its words. Nothing is fetched."""

from __future__ import annotations

import json
import math
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from coreset.brief import charts as brief
from coreset.report import look

FONTS = "fonts"
PNG_SCALE = 2.0
CHARTED = 10
"""Patterns that a chart of the two pages shows."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """One chart as SVG text, with its title and its text alternative."""

    name: str
    title: str
    alt: str
    svg: str
    spec: dict[str, Any]

    def png(self) -> bytes:
        """The same as a PNG on paper colour."""
        head, sign, rest = self.svg.partition(">")
        sheet = f'{head}{sign}<rect width="100%" height="100%" fill="{look.PAPER}"/>{rest}'
        return _converter().svg_to_png(sheet, scale=PNG_SCALE)


@cache
def _converter() -> Any:
    """The converter, with the fonts that are shipped made known to it."""
    import vl_convert

    vl_convert.register_font_directory(str(files("coreset.report") / FONTS))
    return vl_convert


def picture(name: str, chart: Any) -> Picture:
    """A chart in the look of the light page as a picture."""
    spec = look.dressed(chart)
    svg = _converter().vegalite_to_svg(json.dumps(spec))
    return Picture(name=name, title=_words(spec.get("title", "")), alt=spec.get("description", ""), svg=svg, spec=spec)


def _words(title: Any) -> str:
    text = title.get("text", "") if isinstance(title, dict) else title
    return " ".join(text) if isinstance(text, list) else text


def _by_saving(assessment: Any) -> list[str]:
    """Patterns that save most in a year, as many as a chart of two pages shows; those timed first without money."""
    codes = list(dict.fromkeys(row.pattern for row in assessment.mold_cycles))
    rows = assessment.money.patterns if assessment.money is not None else ()
    saving = {row.pattern: row.saving_per_year for row in rows if math.isfinite(row.saving_per_year)}
    return sorted(codes, key=lambda code: -saving.get(code, -math.inf))[:CHARTED]


def _by_index(assessment: Any) -> list[str]:
    """Patterns of the highest lifting index, as many as a chart of two pages shows."""
    worst: dict[str, float] = {}
    for row in assessment.handling:
        if not math.isnan(row.governing):
            worst[row.pattern] = max(row.governing, worst.get(row.pattern, 0.0))
    return sorted(worst, key=lambda code: -worst[code])[:CHARTED]


def pictures(assessment: Any) -> dict[str, Picture]:
    """The charts of the brief by name; those whose figures are wanting are left out."""
    case, charts = assessment.case, {}
    if assessment.money is not None:
        charts["cash_flow"] = brief.cash_flow(assessment.money, width=brief.HALF)
        charts["drivers"] = brief.drivers(assessment.money, width=brief.HALF)
    if assessment.mold_cycles:
        first = _by_saving(assessment)
        charts["mold_cycles"] = brief.mold_cycles(case, [r for r in assessment.mold_cycles if r.pattern in first])
    if any(row.li is not None for row in assessment.handling):
        worst = _by_index(assessment)
        charts["worst_indices"] = brief.worst_indices(case, assessment.handling, worst)
    return {name: picture(name, chart) for name, chart in charts.items()}
