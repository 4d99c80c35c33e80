"""The base case: every input of the cash flow at a fixed value, for the chosen option, and the figures it comes to."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from coreset.case import Money
from coreset.figures import Size, evaluate
from coreset.figures.arrays import given
from coreset.money.figures import MODEL
from coreset.money.option_inputs import option_inputs
from coreset.money.simulation_inputs import Sample
from coreset.money.year_plan import Plan, Way


@dataclass(frozen=True, slots=True, kw_only=True)
class BaseCase:
    """Inputs by key of :data:`coreset.money.inputs.INPUTS`, each at one value; codes of the patterns in their order."""

    patterns: tuple[str, ...]
    years: int
    inputs: Mapping[str, ArrayLike]

    @property
    def size(self) -> Size:
        """Patterns and years of one run."""
        return Size(patterns=len(self.patterns), years=self.years)

    def values(self) -> dict[str, NDArray[np.float64]]:
        """Every input and every figure by key, shape (patterns or 1, years or 1, 1); timelines one year longer."""
        return given(MODEL, self.inputs, self.size) | evaluate(MODEL, self.inputs, self.size, keep=MODEL.figures)


def base_case(sample: Sample, plan: Plan, way: Way, money: Money, chosen: NDArray[np.float64]) -> BaseCase:
    """Every input at its mean over the runs.

    Parameters
    ----------
    sample, plan, way : Sample, Plan, Way
        Runs, what does not vary, and the option.
    money : Money
        Years and rule of depreciation.
    chosen : ndarray, shape (patterns, 1)
        1 where a pattern goes over.

    Returns
    -------
    BaseCase
    """
    inputs = option_inputs(sample.centre(), plan, way, money, chosen)
    return BaseCase(patterns=plan.patterns, years=money.years, inputs=inputs)
