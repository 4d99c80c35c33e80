"""Public functions of three or more arguments say what each is: shape and unit under Parameters."""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
ROOMS = (
    "before_money",
    "bodywork",
    "brief",
    "case",
    "engine",
    "figures",
    "forms",
    "lifting",
    "line",
    "money",
    "report",
    "study",
    "working",
)


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


@pytest.mark.parametrize("room", ROOMS)
def test_arguments_are_described(room):
    """No function of the room lacks the section."""
    assert not list(lacking(room))
