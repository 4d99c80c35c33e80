"""From stopwatch readings of core setting to a purchase decision."""

__version__ = "0.2.0"
