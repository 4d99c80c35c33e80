"""Mold cycle and plant -> molds per hour; what a saved second is worth; whether the setter can hold the core."""

from coreset.line.rates import Rate, rates

__all__ = ["Rate", "rates"]
