"""Public functions of three or more arguments say what each is: shape and unit under Parameters."""

import ast
from pathlib import Path

ROOT = Path(__file__).parents[1]


def annotated(node):
    """Whether this is `Annotated[...]`, as an argument of a command is, whose option has a help text of its own."""
    return isinstance(node, ast.Subscript) and ast.unparse(node.value) == "Annotated"


def lacking(path):
    """Names of a module's public functions of three or more arguments without the section, commands left out."""
    body = ast.parse(path.read_text(encoding="utf-8")).body
    options = {ast.unparse(node.targets[0]) for node in body if isinstance(node, ast.Assign) and annotated(node.value)}
    for node in body:
        if not isinstance(node, ast.FunctionDef) or node.name.startswith("_"):
            continue
        given = [*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs]
        types = [one.annotation for one in given if one.annotation]
        command = path.parent.name == "cli" and any(annotated(one) or ast.unparse(one) in options for one in types)
        if len(given) >= 3 and not command and "Parameters\n---" not in (ast.get_docstring(node) or ""):
            yield node.name


def test_arguments_are_described():
    """No function of the product lacks the section."""
    wrong = [f"{path.relative_to(ROOT)}: {name}" for path in ROOT.glob("coreset/**/*.py") for name in lacking(path)]
    assert not wrong


def test_a_function_without_the_section_is_told(tmp_path):
    """Negative: three arguments without the section are told; a private name, and one with it, are not."""
    module = tmp_path / "module.py"
    section = '"""Does.\n\n    Parameters\n    ----------\n    a, b, c : int\n        Ints.\n    """'
    heads = {"one": '"""Does."""', "_two": '"""Does."""', "three": section}
    module.write_text("\n".join(f"def {name}(a: int, b: int, c: int):\n    {doc}\n" for name, doc in heads.items()))
    assert list(lacking(module)) == ["one"]
