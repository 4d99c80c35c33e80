"""A model: declarations that have been checked, put in order, and know what they rest on."""

from __future__ import annotations

import ast
from collections.abc import Collection, Iterable
from graphlib import CycleError, TopologicalSorter

from coreset.figures.axes import Axes, axes_of
from coreset.figures.declare import AXES, Figure, Input
from coreset.figures.grammar import BUILT_IN, FormulaError, check_key, names, parse


class Model:
    """Inputs and figures as one definition.

    Parameters
    ----------
    declared : iterable of Input or Figure
        In the order in which a reader should meet them.

    Attributes
    ----------
    inputs, figures : dict
        Declarations by key, in order of declaration.
    trees : dict of str to ast.expr
        The formula of each figure.
    axes : dict of str to frozenset
        What every name varies by: `p`, `y`, `t`.
    order : tuple of str
        Keys of the figures, each after all that it rests on.

    Raises
    ------
    FormulaError
        If a key is used twice or cannot be one, a formula is outside the language, mentions an unknown name, or figures
        rest on each other in a circle.
    """

    def __init__(self, declared: Iterable[Input | Figure]) -> None:
        self.inputs: dict[str, Input] = {}
        self.figures: dict[str, Figure] = {}
        for each in declared:
            self._take(each)
        self.kinds: dict[str, list[str]] = {}
        for figure in self.figures.values():
            self.kinds.setdefault(figure.kind, []).append(figure.key)
        self.trees = {f.key: parse(f.key, f.formula, self.kinds, f.numbers) for f in self.figures.values()}
        self.mentioned = {key: tuple(names(tree)) for key, tree in self.trees.items()}
        self.order = self._ordered()
        self.axes = self._inferred()

    def _take(self, each: Input | Figure) -> None:
        check_key(each.key)
        if each.key in self.inputs or each.key in self.figures:
            raise FormulaError(f"{each.key}: declared twice")
        if isinstance(each, Input):
            if each.axes not in AXES:
                raise FormulaError(f"{each.key}: axes must be one of {AXES}, got {each.axes!r}")
            self.inputs[each.key] = each
        else:
            self.inputs |= {one.key: one for one in each.own_growth()}
            self.figures |= {figure.key: figure for figure in each.written_out()}

    def _ordered(self) -> tuple[str, ...]:
        needs: dict[str, list[str]] = {}
        for key, tree in self.trees.items():
            for name in names(tree):
                if name not in self.inputs and name not in self.figures and name not in BUILT_IN:
                    raise FormulaError(f"{key}: no figure or input is named {name!r}")
            needs[key] = sorted(name for name in names(tree) if name in self.figures)
        try:
            return tuple(TopologicalSorter(needs).static_order())
        except CycleError as error:
            chain = " -> ".join(error.args[1])
            raise FormulaError(f"{error.args[1][0]}: figures rest on each other in a circle: {chain}") from error

    def _inferred(self) -> dict[str, Axes]:
        known = {key: frozenset(axes) for key, axes in BUILT_IN.items()}
        known |= {key: frozenset(each.axes) for key, each in self.inputs.items()}
        for key in self.order:
            known[key] = axes_of(key, self.trees[key], known)
        return known

    def needs(self, key: str) -> tuple[str, ...]:
        """Names that a figure's formula mentions, built-in ones included; none for an input."""
        return self.mentioned.get(key, ())

    def needed(self, targets: Iterable[str], known: Collection[str] = ()) -> tuple[str, ...]:
        """Figures behind some targets, the targets included, each after what it rests on; none behind known ones."""
        wanted, stack = set(), list(targets)
        while stack:
            key = stack.pop()
            if key in self.figures and key not in wanted and key not in known:
                wanted.add(key)
                stack += self.needs(key)
        return tuple(key for key in self.order if key in wanted)

    def behind(self, key: str) -> tuple[str, ...]:
        """Inputs that a figure rests on, in order of declaration; an input rests on itself."""
        found = {name for each in self.needed([key]) for name in self.needs(each)} | {key}
        return tuple(name for name in self.inputs if name in found)

    def after(self, key: str) -> tuple[str, ...]:
        """Figures that move when an input or a figure does, each after what it rests on."""
        moved = {key}
        for each in self.order:
            if moved & set(self.needs(each)):
                moved.add(each)
        return tuple(each for each in self.order if each in moved - {key})

    def label(self, key: str) -> str:
        """What a key means."""
        return (self.inputs.get(key) or self.figures[key]).label

    def unit(self, key: str) -> str:
        """Unit of a key."""
        return self.inputs[key].unit if key in self.inputs else self.figures[key].unit

    def tree(self, key: str) -> ast.expr:
        """The syntax tree of a figure's formula."""
        return self.trees[key]
