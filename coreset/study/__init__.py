"""Readings -> element times -> standard time."""
