"""The look of the pages as settings of the framework: paper, ink and green sand, light and dark, rooms on top."""

from __future__ import annotations

from typing import Any

from coreset.report import look

SHARED: dict[str, Any] = {
    "theme.font": "sans-serif",
    "theme.headingFont": "sans-serif",
    "theme.baseFontSize": 16,
    "theme.headingFontSizes": ["1.75rem", "1.2rem", "1.15rem", "1rem", "1rem", "1rem"],
    "theme.headingFontWeights": [600, 600, 600, 600, 600, 600],
    "theme.metricValueFontSize": "1.7rem",
    "theme.baseRadius": "small",
    "theme.paddingTop": "1rem",
    "theme.linkUnderline": True,
    "theme.showWidgetBorder": True,
}
LIGHT = {
    "primaryColor": look.ACCENT,
    "backgroundColor": look.PAPER,
    "secondaryBackgroundColor": "#eff1ec",
    "textColor": look.INK,
    "linkColor": look.ACCENT,
    "borderColor": look.RULE,
    "blueBackgroundColor": "#e6eadf",
    "blueTextColor": look.INK,
}
DARK = {
    "primaryColor": "#6b7a2a",
    "backgroundColor": look.DARK[look.PAPER],
    "secondaryBackgroundColor": "#232629",
    "textColor": look.DARK[look.INK],
    "linkColor": look.DARK[look.ACCENT],
    "borderColor": look.DARK[look.RULE],
    "blueBackgroundColor": "#2b2d2e",
    "blueTextColor": look.DARK[look.INK],
}
THEME: dict[str, Any] = {
    **SHARED,
    **{f"theme.light.{name}": value for name, value in LIGHT.items()},
    **{f"theme.dark.{name}": value for name, value in DARK.items()},
}
"""Settings to start the server with, besides those that guard it."""


def chart_colours() -> str:
    """Style sheet that shows charts, drawn for the light page, in the colours of the page as it is now.

    A chart is drawn once; the page may turn dark while it is open, and paper is always light.
    """
    rules = [
        f'.stVegaLiteChart svg [{of}="{light}"] {{ {of}: light-dark({light}, {dark}); }}'
        for light, dark in look.DARK.items()
        for of in ("fill", "stroke")
    ]
    both = {name: f"light-dark({of}, {look.DARK[of]})" for name, of in {"paper": look.PAPER, "ink": look.INK}.items()}
    page = " ".join(f"--{name}: {value};" for name, value in both.items())
    return f"<style>.stApp {{ {page} }} {' '.join(rules)}</style>"
