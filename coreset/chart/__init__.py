"""Method steps and element times to the mold cycle: the multiple-activity chart."""

from coreset.chart.cycle import MoldCycle, mold_cycles, untimed_pairs

__all__ = ["MoldCycle", "mold_cycles", "untimed_pairs"]
