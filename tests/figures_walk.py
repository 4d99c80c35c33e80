"""A second, naive implementation of formulas: the tree walked number by number, with plain Python sums and loops."""

import ast
import math

BINARY = {
    ast.Add: lambda a, b: a + b,
    ast.Sub: lambda a, b: a - b,
    ast.Mult: lambda a, b: a * b,
    ast.Div: lambda a, b: a / b if b else math.nan,
    ast.Pow: lambda a, b: a**b if a or b >= 0 else math.inf,
}
COMPARED = {
    ast.Lt: lambda a, b: a < b,
    ast.LtE: lambda a, b: a <= b,
    ast.Gt: lambda a, b: a > b,
    ast.GtE: lambda a, b: a >= b,
    ast.Eq: lambda a, b: a == b,
    ast.NotEq: lambda a, b: a != b,
}


class Walk:
    """Value of any key for one pattern and time; inputs are called as `given(key, pattern, time)`."""

    def __init__(self, model, given, patterns, years):
        self.model, self.given, self.patterns, self.years = model, given, range(patterns), years
        self.known = {}

    def key(self, key, i, t):
        """Value of a name."""
        axes = self.model.axes[key]
        place = (key, i if "p" in axes else 0, t if axes & {"y", "t", "q"} else 0)
        if place not in self.known:
            built_in = {"year": t, "period": t, "years": self.years, "never": math.inf}
            if key in built_in:
                self.known[place] = built_in[key]
            elif key in self.model.trees:
                self.known[place] = self.walk(self.model.trees[key], i, t)
            else:
                self.known[place] = self.given(key, i, t)
        return self.known[place]

    def walk(self, node, i, t):
        """Value of an expression."""
        match node:
            case ast.Name(id=key):
                return self.key(key, i, t)
            case ast.Constant(value=number):
                return number
            case ast.UnaryOp(operand=operand):
                return -self.walk(operand, i, t)
            case ast.BinOp(left=left, op=op, right=right):
                return BINARY[type(op)](self.walk(left, i, t), self.walk(right, i, t))
            case ast.Compare(left=left, ops=[op], comparators=[right]):
                return COMPARED[type(op)](self.walk(left, i, t), self.walk(right, i, t))
            case ast.BoolOp(op=ast.And(), values=values):
                return all(self.walk(value, i, t) for value in values)
            case ast.BoolOp(values=values):
                return any(self.walk(value, i, t) for value in values)
            case ast.IfExp(test=test, body=body, orelse=orelse):
                return self.walk(body if self.walk(test, i, t) else orelse, i, t)
        return self.call(node.func.id, node.args, i, t)

    def times(self, node):
        """Times of an expression: from 0 on the timeline, else from 1."""
        names = [each.id for each in ast.walk(node) if isinstance(each, ast.Name)]
        start = 0 if any("t" in self.model.axes.get(name, ()) for name in names) else 1
        return range(start, self.years + 1)

    def call(self, name, args, i, t):  # noqa: C901 - one line a function
        """Value of a function."""
        x = args[0]
        if name in {"min", "max"}:
            return {"min": min, "max": max}[name](self.walk(each, i, t) for each in args)
        if name in {"ceil", "exp", "log"}:
            return getattr(math, name)(self.walk(x, i, t))
        if name == "over_patterns":
            return sum(self.walk(x, j, t) for j in self.patterns)
        if name == "over_years":
            return sum(self.walk(x, i, u) for u in self.times(x))
        if name == "cumulative":
            return sum(self.walk(x, i, u) for u in self.times(x) if u <= t)
        if name == "before":
            return self.walk(x, i, t - 1) if t - 1 in self.times(x) else 0.0
        if name == "last":
            return self.walk(x, i, self.years)
        if name == "highest":
            return max(self.walk(x, i, u) for u in self.times(x))
        if name == "renewed":
            return self.renewed(args, i, t) - (self.renewed(args, i, t - 1) if t > 1 else 0)
        if name == "ahead":
            rank = {j: (-self.walk(args[1], j, t), j) for j in self.patterns}
            return sum(self.walk(x, j, t) for j in self.patterns if rank[j] < rank[i])
        if name == "met":
            scale = [self.walk(args[2], j, t) for j in self.patterns]
            pairs = [self.given(x.id, j, i) * min(scale[j], scale[i]) for j in self.patterns]
            return sum(pairs[j] * self.walk(args[1], j, t) for j in self.patterns)
        if name == "later_shares":
            return sum(self.walk(x, i, u) * self.walk(args[1], i, t - u + 1) for u in range(1, t + 1))
        if name == "timeline":
            return self.walk(args[t > 0], i, t)
        if name == "npv":
            rate = self.walk(x, i, t)
            return sum(self.walk(args[1], i, u) / (1 + rate) ** u for u in range(self.years + 1))
        raise AssertionError(name)

    def renewed(self, args, i, t):
        """Bought again by the end of a year."""
        life = self.walk(args[1], i, t)
        made = sum(self.walk(args[0], i, u) for u in range(1, t + 1))
        return max(math.ceil(made / life * 0.999999999999) - 1, 0) if life > 0 else 0
