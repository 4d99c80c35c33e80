"""Readings -> element times -> standard time."""

from coreset.study.pool import by_pattern, differing, standards
from coreset.study.standard import ElementTime, Note, Standard, standard_of

__all__ = ["ElementTime", "Note", "Standard", "by_pattern", "differing", "standard_of", "standards"]
