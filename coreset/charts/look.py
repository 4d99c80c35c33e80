"""One look for every chart: paper and ink, two hues for the two methods, each with a second sign."""

from __future__ import annotations

INK = "#22262a"
MUTED = "#6b7178"
PAPER = "#fbfaf7"
ACCENT = "#8a3b12"
BASELINE = "#2a6496"
"""The method as today: blue, full line, filled mark."""
CANDIDATE = "#c8641e"
"""The method weighed against it: orange, broken line, hollow mark."""
DASH = {"baseline": [1, 0], "candidate": [6, 3]}
