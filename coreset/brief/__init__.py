"""Assessment -> words, PDF, HTML, workbook."""

from coreset.brief.text import say
from coreset.rounding import fixed

__all__ = ["fixed", "say"]
