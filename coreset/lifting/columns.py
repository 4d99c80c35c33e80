"""Names of the columns of a flat table of lifts, in the order of the command's options."""

from __future__ import annotations

MEASURED = ("mass", "horizontal", "vertical", "travel", "angle", "frequency")
WORDS = ("duration", "coupling")
COLUMNS = ("units", *MEASURED, *WORDS)
DESTINATION = ("horizontal_destination", "vertical_destination", "angle_destination")
"""H, V, A where the lift ends: all three, or none where it is rated at the one end that is given."""
SITUATIONS = (
    "hoist", "one_handed", "two_persons", "seated", "restricted", "unstable", "slippery", "fast", "carrying",
    "over_8_h", "hot", "cold", "pushing", "reaching",
)  # fmt: skip
NO_INDEX = ("hoist", "two_persons")
"""Situations without an index; in every other one the index stands as a lower limit."""
"""Further columns that may stand in the table: yes where the method does not cover the row for that reason."""
