"""One definition of a quantity: key, label, unit and formula; arrays, printed line and sheet formula follow from it."""

from coreset.figures.arrays import Size, evaluate
from coreset.figures.declare import Figure, Input
from coreset.figures.grammar import FormulaError
from coreset.figures.model import Model

__all__ = ["Figure", "FormulaError", "Input", "Model", "Size", "evaluate"]
