"""Readings -> element times -> standard time."""

from coreset.study.pool import by_pattern, standards
from coreset.study.standard import ElementTime, Note, Standard, standard_of

__all__ = ["ElementTime", "Note", "Standard", "by_pattern", "standard_of", "standards"]
