"""The house: who may import whom, what is deliberately absent, how large a module may grow."""

import ast
import importlib.util
import re
from functools import cache
from graphlib import TopologicalSorter
from pathlib import Path

import pytest

from coreset.sources import sources

ROOT = Path(__file__).parents[1]
ROOMS = [
    "errors",
    "units",
    "rounding",
    "number_text",
    "working",
    "quiet",
    "sources",
    "text",
    "figures",
    "case",
    "store",
    "report",
    "study",
    "lifting",
    "bodywork",
    "line",
    "money",
    "decision",
    "before_money",
    "assess",
    "engine",
    "brief",
    "forms",
    "web",
    "cli",
    "pages",
]
PURE = ["figures", "study", "lifting", "bodywork", "line", "money", "before_money", "assess"]
"""Rooms that calculate: what they say stands in their `report`, what they draw in their `charts`."""
OUTPUT = {"report", "charts"}
DRAWING_AND_FORMS = {"altair", "typst", "vl_convert", "xlsxwriter", "streamlit"}
DISK_CLOCK_NETWORK = {"io", "os", "pathlib", "time", "datetime", "socket", "urllib", "http", "sqlite3", "sqlalchemy"}
MODULES = sorted([*ROOT.glob("coreset/**/*.py"), *ROOT.glob("pages/**/*.py")])
PAGES = sorted(ROOT.glob("pages/**/*.py"))
LAYOUT_ONLY = {"numpy", "pandas", "scipy", "math", "statistics"}


@cache
def parsed(path):
    """Syntax tree of a module, parsed once for all tests of it."""
    return ast.parse(path.read_text(encoding="utf-8"))


def room_of(path):
    """Name of the room a module stands in."""
    relative = path.relative_to(ROOT)
    if relative.parts[0] == "pages":
        return "pages"
    return relative.parts[1].removesuffix(".py")


def imports_of(path):
    """Every module that a file names in an import, wherever in the file."""
    for node in ast.walk(parsed(path)):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: relative import"
            yield node.module
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(ROOT)))
def test_a_room_imports_only_from_rooms_before_it(path):
    """Data flows one way: the list of rooms is the whole rule."""
    room = room_of(path)
    if room in {"__init__", "__main__"}:
        return
    for name in imports_of(path):
        parts = name.split(".")
        if parts[0] == "coreset" and len(parts) > 1 and parts[1] in ROOMS:
            assert ROOMS.index(parts[1]) <= ROOMS.index(room), f"{room} imports {name}"


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(ROOT)))
def test_calculation_is_pure(path):
    """What calculates draws nothing, says nothing, and reaches no disk, clock or network.

    Streamlit is for web and pages only.
    """
    room, imported = room_of(path), set(imports_of(path))
    libraries = {name.split(".")[0] for name in imported}
    if room not in {"web", "pages"}:
        assert "streamlit" not in libraries
    if room in PURE and not OUTPUT & {part.removesuffix(".py") for part in path.parts}:
        assert not libraries & (DISK_CLOCK_NETWORK | DRAWING_AND_FORMS)
        ours = {part for name in imported if name.startswith("coreset.") for part in name.split(".")[1:3]}
        assert not ours & (OUTPUT | {"text"}), "a calculation knows neither words nor charts"


def loaded(module):
    """A module of ours by its name, or nothing if there is none of that name."""
    try:
        return importlib.import_module(module) if importlib.util.find_spec(module) else None
    except ModuleNotFoundError:
        return None


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(ROOT)))
def test_what_a_module_asks_of_another_is_there(path):
    """A name that has moved is found before its page is opened."""
    tree = parsed(path)
    known = {
        alias.asname or alias.name: module
        for node in ast.walk(tree)
        if isinstance(node, ast.ImportFrom) and node.module.split(".")[0] == "coreset"
        for alias in node.names
        if (module := loaded(f"{node.module}.{alias.name}"))
    }
    for node in ast.walk(tree):
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id in known:
            module = known[node.value.id]
            assert hasattr(module, node.attr), f"line {node.lineno}: {module.__name__} has no {node.attr}"


@pytest.mark.parametrize("path", PAGES, ids=lambda p: p.name)
def test_a_page_is_layout(path):
    """A page has no arithmetic and no numerical library; bits and rows of a list repeated are no arithmetic."""
    assert not {name.split(".")[0] for name in imports_of(path)} & LAYOUT_ONLY
    sums = [
        node.lineno
        for node in ast.walk(parsed(path))
        if isinstance(node, ast.BinOp)
        and not isinstance(node.op, ast.BitOr | ast.BitAnd)
        and not isinstance(node.left, ast.List)
    ]
    assert not sums, f"arithmetic in lines {sums}"


def module_of(path):
    """Dotted name of a module of ours."""
    parts = path.relative_to(ROOT).with_suffix("").parts
    return ".".join(parts if parts[0] == "coreset" else ("coreset", *parts)).removesuffix(".__init__")


def top_level_imports(path):
    """Modules that a file imports as it is loaded; `from package import module` counts as the module."""
    names = {module_of(each) for each in MODULES}
    for node in parsed(path).body:
        if isinstance(node, ast.ImportFrom):
            for alias in node.names:
                below = f"{node.module}.{alias.name}"
                yield below if below in names else node.module


def test_imports_have_no_circle():
    """Modules can be put in one order in which each imports only modules before it."""
    names = {module_of(path): path for path in MODULES}
    graph = {name: set(top_level_imports(path)) & set(names) - {name} for name, path in names.items()}
    assert len(list(TopologicalSorter(graph).static_order())) == len(names)


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(ROOT)))
def test_a_module_is_one_idea(path):
    """Split at 300 lines; a docstring says the idea."""
    text = path.read_text(encoding="utf-8")
    assert ast.get_docstring(parsed(path)), "a module begins with its idea"
    assert len(text.splitlines()) <= 300


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(ROOT)))
def test_a_source_that_is_cited_is_a_row_of_the_sources(path):
    """`[key]` under References in a docstring is a key of reference/sources.csv."""
    known = set(sources())
    for node in ast.walk(parsed(path)):
        if isinstance(node, ast.FunctionDef | ast.ClassDef | ast.Module):
            _, _, cited = (ast.get_docstring(node) or "").partition("References\n----------\n")
            for key in re.findall(r"^\[([a-z0-9_]+)\]", cited.partition("\n\n")[0], flags=re.MULTILINE):
                assert key in known, f"{path}: [{key}]"


@pytest.mark.parametrize("room", [room for room in ROOMS if room != "pages"])
def test_every_module_can_be_imported(room):
    """A name that moved is missed at once, not when somebody asks for the download that needs it."""
    for path in (path for path in MODULES if room_of(path) == room and path.parts[-1] != "__main__.py"):
        importlib.import_module(".".join(path.relative_to(ROOT).with_suffix("").parts).removesuffix(".__init__"))
