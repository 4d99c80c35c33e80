"""Assessments carried out by other processes, or by a cluster, and their results kept in files by content."""

from coreset.engine.engine import Engine

__all__ = ["Engine"]
