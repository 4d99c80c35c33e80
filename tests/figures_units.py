"""Units of formulas: the tree walked with units of pint, in a registry that has only the units of this model."""

import ast

import pint

UNITS = pint.UnitRegistry(None)
for line in (
    "currency = [currency]",
    "mold = [mold]",
    "casting = [casting]",
    "person = [person]",
    "hour = [time]",
    "minute = hour / 60",
    "m = [length]",
    "L = m ** 3 / 1000",
    "kW = [power]",
    "year = []",
    "month = []",
):
    UNITS.define(line)
BUILT_IN = dict.fromkeys(("year", "period", "years", "never"), "1")
SAME = {"min", "max", "over_patterns", "over_years", "cumulative", "before", "last", "highest", "ahead", "timeline"}
PLAIN = {"exp", "log", "irr"}


class UnitError(AssertionError):
    """A formula whose units do not fit."""


def unit(text):
    """A unit as a quantity of 1; 1 is a plain number."""
    return UNITS.Quantity(1.0, "" if text == "1" else text)


class Units:
    """Unit of a formula of a model; None is the literal 0, which fits every unit."""

    def __init__(self, model, key):
        self.model, self.key = model, key

    def fail(self, node, what):
        """Stop with the key and the part of the formula."""
        raise UnitError(f"{self.key}: {what} in {ast.unparse(node)}")

    def same(self, node, *units):
        """The one unit of terms, equal in kind and in scale."""
        known = [each for each in units if each is not None]
        for other in known[1:]:
            if not equal(known[0], other):
                self.fail(node, f"{known[0].units} and {other.units}")
        return known[0] if known else None

    def plain(self, node, found):
        """A plain number is needed."""
        self.same(node, unit("1"), found)
        return unit("1")

    def walk(self, node):  # noqa: C901 - one case a kind of expression
        """Unit of an expression."""
        match node:
            case ast.Name(id=key):
                return unit(BUILT_IN.get(key) or self.model.unit(key))
            case ast.Constant(value=0):
                return None
            case ast.Constant():
                return unit("1")
            case ast.UnaryOp(operand=operand):
                return self.walk(operand)
            case ast.BinOp(left=left, op=ast.Pow(), right=right):
                self.plain(node, self.walk(right))
                return self.plain(node, self.walk(left))
            case ast.BinOp(left=left, op=ast.Mult(), right=right):
                a, b = self.walk(left), self.walk(right)
                return None if a is None or b is None else a * b
            case ast.BinOp(left=left, op=ast.Div(), right=right):
                a, b = self.walk(left), self.walk(right)
                return None if a is None else a / b
            case ast.BinOp(left=left, right=right):
                return self.same(node, self.walk(left), self.walk(right))
            case ast.Compare(left=left, comparators=[right]):
                self.same(node, self.walk(left), self.walk(right))
                return unit("1")
            case ast.BoolOp(values=values):
                return self.same(node, *map(self.walk, values))
            case ast.IfExp(test=test, body=body, orelse=orelse):
                self.walk(test)
                return self.same(node, self.walk(body), self.walk(orelse))
        return self.call(node)

    def call(self, node):
        """Unit of a function."""
        name, units = node.func.id, [self.walk(each) for each in node.args]
        if name == "ahead":
            return units[0]
        if name in SAME:
            return self.same(node, *units)
        if name in PLAIN:
            return unit("1")
        if name == "renewed":
            return self.plain(node, units[0] / units[1])
        if name == "npv":
            self.plain(node, units[0])
            return units[1]
        if name == "met":
            self.plain(node, units[2])
        return units[0] * units[1]


def equal(a, b):
    """Whether two units are equal in kind and in scale."""
    a, b = a.to_base_units(), b.to_base_units()
    return a.dimensionality == b.dimensionality and abs(a.magnitude / b.magnitude - 1.0) < 1e-9


def check(model):
    """Compare the unit of every formula with the unit that is declared."""
    for key, tree in model.trees.items():
        walk = Units(model, key)
        walk.same(tree, unit(model.unit(key)), walk.walk(tree))
