"""Cash flow, tax, run length, job mix, uncertainty, value of information."""

from coreset.money.decide import weigh
from coreset.money.decision import Decision

__all__ = ["Decision", "weigh"]
