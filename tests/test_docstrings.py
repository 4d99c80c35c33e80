"""Public functions of three or more arguments say what each is: shape and unit under Parameters."""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
LACKING = {
    "before_money": 0, "bodywork": 0, "case": 0, "figures": 0, "lifting": 41, "money": 0, "report": 0, "working": 0,
}  # fmt: skip
"""Functions of a room that still lack the section; a number only falls."""


def lacking(room):
    """Names of public functions of three or more arguments without the section."""
    paths = [*ROOT.glob(f"coreset/{room}.py"), *ROOT.glob(f"coreset/{room}/**/*.py")]
    for path in paths:
        for node in ast.parse(path.read_text(encoding="utf-8")).body:
            if not isinstance(node, ast.FunctionDef) or node.name.startswith("_"):
                continue
            given = node.args
            many = len(given.posonlyargs) + len(given.args) + len(given.kwonlyargs) >= 3
            if many and "Parameters\n---" not in (ast.get_docstring(node) or ""):
                yield f"{path.relative_to(ROOT)}: {node.name}"


@pytest.mark.parametrize("room", LACKING)
def test_arguments_are_described(room):
    """No more lack it than are listed."""
    found = list(lacking(room))
    assert len(found) <= LACKING[room], "\n".join(found)
