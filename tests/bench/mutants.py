"""Small faults put into the calculation rooms one at a time: which does no test notice?

Run: python tests/bench/mutants.py MODULE [--sample 20] [--seed 1], for example coreset/money/discount.py. Works on a
copy of the tree in a temporary folder; prints each fault that survived, with its line. Nothing outside is changed.
"""

import argparse
import ast
import copy
import os
import random
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).parents[2]
SWAPS = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult, ast.Lt: ast.LtE, ast.LtE: ast.Lt,
    ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq, ast.And: ast.Or, ast.Or: ast.And,
}  # fmt: skip
LIMIT_S = 1200
"""Long, since a busy machine is no fault; a mutant that never ends counts as noticed after it."""


def places(tree):
    """Nodes that can be changed: operators, comparisons, numbers."""
    annotations = {id(inner) for node in ast.walk(tree) for part in _hints(node) for inner in ast.walk(part)}
    for index, node in enumerate(ast.walk(tree)):
        if id(node) in annotations:
            continue
        operator = getattr(node, "op", None) or (getattr(node, "ops", None) or [None])[0]
        number = isinstance(node, ast.Constant) and type(node.value) in (int, float)
        if type(operator) in SWAPS or number:
            yield index


def _hints(node):
    parts = (getattr(node, "annotation", None), getattr(node, "returns", None))
    return [part for part in parts if part is not None]


def changed(tree, index):
    """The tree with the node at that place changed, its line, and what was done."""
    tree = copy.deepcopy(tree)
    node = list(ast.walk(tree))[index]
    before = ast.unparse(node)
    if isinstance(node, ast.Constant):
        node.value = node.value + 1
    elif isinstance(node, ast.Compare):
        node.ops[0] = SWAPS[type(node.ops[0])]()
    else:
        node.op = SWAPS[type(node.op)]()
    return ast.unparse(tree), node.lineno, f"{before}  ->  {ast.unparse(node)}"


def noticed(tree, room):
    """Whether a test of the room fails in that copy of the tree."""
    own = [str(path) for path in (tree / "tests").glob(f"test_{room}*.py")]
    command = [sys.executable, "-m", "pytest", "-q", "-x", "-p", "no:cacheprovider", *own, "tests/published"]
    environment = os.environ | {"PYTHONPATH": str(tree), "PYTHONDONTWRITEBYTECODE": "1"}
    try:
        run = subprocess.run(command, cwd=tree, env=environment, capture_output=True, timeout=LIMIT_S)
    except subprocess.TimeoutExpired:
        return True
    return run.returncode != 0


def main():
    """Print survivors and their share."""
    parser = argparse.ArgumentParser()
    parser.add_argument("module")
    parser.add_argument("--sample", type=int, default=20)
    parser.add_argument("--seed", type=int, default=1)
    given = parser.parse_args()
    source = (ROOT / given.module).read_text(encoding="utf-8")
    tree = ast.parse(source)
    found = list(places(tree))
    picked = random.Random(given.seed).sample(found, min(given.sample, len(found)))
    with tempfile.TemporaryDirectory() as folder:
        copied = Path(folder) / "tree"
        shutil.copytree(ROOT, copied, ignore=shutil.ignore_patterns(".git", ".venv", "*.pyc", "*.egg-info"))
        room, survivors = Path(given.module).parts[1], 0
        if noticed(copied, room):
            sys.exit("the tests fail without any fault: nothing can be learned")
        for index in picked:
            text, line, words = changed(tree, index)
            (copied / given.module).write_text(text, encoding="utf-8")
            if not noticed(copied, room):
                survivors += 1
                print(f"survived: {given.module}:{line}: {words}", flush=True)
    print(f"{given.module}: {len(picked)} of {len(found)} faults tried, {survivors} survived")


if __name__ == "__main__":
    main()
