"""The house: who may import whom, what is deliberately absent, how large a module may grow."""

import ast
import importlib
import re
from collections import Counter
from functools import cache
from graphlib import TopologicalSorter
from pathlib import Path

from coreset.sources import sources

ROOT = Path(__file__).parents[1]
ROOMS = [
    "text",
    "errors",
    "units",
    "rounding",
    "number_text",
    "working",
    "quiet",
    "sources",
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


def module_of(path):
    """Dotted name of a module of ours."""
    parts = path.relative_to(ROOT).with_suffix("").parts
    return ".".join(parts if parts[0] == "coreset" else ("coreset", *parts)).removesuffix(".__init__")


NAMES = {path: module_of(path) for path in MODULES}
KNOWN = set(NAMES.values())


@cache
def parsed(path):
    """Syntax tree of a module, parsed once for all tests of it."""
    return ast.parse(path.read_text(encoding="utf-8"))


@cache
def nodes(path):
    """Every node of the syntax tree of a module."""
    return list(ast.walk(parsed(path)))


@cache
def room_of(path):
    """Name of the room a module stands in."""
    relative = path.relative_to(ROOT)
    if relative.parts[0] == "pages":
        return "pages"
    return relative.parts[1].removesuffix(".py")


def imports_of(path):
    """Every module that a file names in an import, wherever in the file."""
    for node in nodes(path):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: relative import"
            yield node.module
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def rooms_in(name):
    """Place in the list of the room that an import names; nothing for what is no room of ours."""
    parts = name.split(".")
    return [ROOMS.index(parts[1])] if parts[0] == "coreset" and len(parts) > 1 and parts[1] in ROOMS else []


def test_a_room_imports_only_from_rooms_before_it():
    """Data flows one way: the list of rooms is the whole rule."""
    placed = [path for path in MODULES if room_of(path) not in {"__init__", "__main__"}]
    later = [
        f"{path.relative_to(ROOT)} imports {name}"
        for path in placed
        for name in imports_of(path)
        for at in rooms_in(name)
        if at > ROOMS.index(room_of(path))
    ]
    assert not later


def impure(path):
    """What a module imports that its room may not: words, charts, drawing, disk, clock or network."""
    room, imported = room_of(path), set(imports_of(path))
    libraries = {name.split(".")[0] for name in imported}
    forbidden = set() if room in {"web", "pages"} else {"streamlit"} & libraries
    if room in PURE and not OUTPUT & {part.removesuffix(".py") for part in path.parts}:
        ours = {part for name in imported if name.startswith("coreset.") for part in name.split(".")[1:3]}
        forbidden |= libraries & (DISK_CLOCK_NETWORK | DRAWING_AND_FORMS) | ours & (OUTPUT | {"text"})
    return forbidden


def test_calculation_is_pure():
    """What calculates draws nothing, says nothing, and reaches no disk, clock or network.

    Streamlit is for web and pages only.
    """
    assert not {str(path.relative_to(ROOT)): names for path in MODULES if (names := impure(path))}


def loaded(module):
    """A module of ours by its name, or nothing if there is none of that name."""
    return importlib.import_module(module) if module in KNOWN else None


def missing_names(path):
    """Names that a module asks of other modules of ours, and that are not there."""
    known = {
        alias.asname or alias.name: module
        for node in nodes(path)
        if isinstance(node, ast.ImportFrom) and node.module.split(".")[0] == "coreset"
        for alias in node.names
        if (module := loaded(f"{node.module}.{alias.name}"))
    }
    for node in nodes(path):
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id in known:
            module = known[node.value.id]
            if not hasattr(module, node.attr):
                yield f"{path.relative_to(ROOT)}:{node.lineno}: {module.__name__} has no {node.attr}"


def test_what_a_module_asks_of_another_is_there():
    """A name that has moved is found before its page is opened."""
    assert not [name for path in MODULES for name in missing_names(path)]


def test_a_page_is_layout():
    """A page has no arithmetic and no numerical library; bits and rows of a list repeated are no arithmetic."""
    sums = [
        f"{path.relative_to(ROOT)}:{node.lineno}"
        for path in PAGES
        for node in nodes(path)
        if isinstance(node, ast.BinOp)
        and not isinstance(node.op, ast.BitOr | ast.BitAnd)
        and not isinstance(node.left, ast.List)
    ]
    assert not sums
    assert not {name.split(".")[0] for path in PAGES for name in imports_of(path)} & LAYOUT_ONLY


def top_level_imports(path):
    """Modules that a file imports as it is loaded; `from package import module` counts as the module."""
    for node in parsed(path).body:
        if isinstance(node, ast.ImportFrom):
            for alias in node.names:
                below = f"{node.module}.{alias.name}"
                yield below if below in KNOWN else node.module


def test_imports_have_no_circle():
    """Modules can be put in one order in which each imports only modules before it."""
    graph = {name: set(top_level_imports(path)) & KNOWN - {name} for path, name in NAMES.items()}
    assert len(list(TopologicalSorter(graph).static_order())) == len(NAMES)


def test_a_module_is_one_idea():
    """Split at 300 lines; a docstring says the idea."""
    lengths = {str(path.relative_to(ROOT)): len(path.read_text(encoding="utf-8").splitlines()) for path in MODULES}
    assert not {path: lines for path, lines in lengths.items() if lines > 300}
    assert not [path for path in MODULES if not ast.get_docstring(parsed(path))], "a module begins with its idea"


def cited_sources(path):
    """Every `[key]` under References in the docstrings of a module."""
    for node in nodes(path):
        if isinstance(node, ast.FunctionDef | ast.ClassDef | ast.Module):
            _, _, cited = (ast.get_docstring(node) or "").partition("References\n----------\n")
            yield from re.findall(r"^\[([a-z0-9_]+)\]", cited.partition("\n\n")[0], flags=re.MULTILINE)


def test_a_source_that_is_cited_is_a_row_of_the_sources():
    """A key under References in a docstring is a key of reference/sources.csv."""
    known = set(sources())
    assert not [(str(path), key) for path in MODULES for key in cited_sources(path) if key not in known]


def test_every_module_can_be_imported():
    """A name that moved is missed at once, not when somebody asks for the download that needs it."""
    for path in (path for path in MODULES if room_of(path) != "pages" and path.parts[-1] != "__main__.py"):
        importlib.import_module(NAMES[path])


BASES = {"CoresetError", "StudyError", "PeopleBook"}
"""Refusals, and the people of a database apart from its cases."""


def test_no_class_is_made_to_be_a_base():
    """A class of ours inherits from no other of ours, but for refusals and the database; no module is called utils."""
    classes = [node for path in MODULES for node in nodes(path) if isinstance(node, ast.ClassDef)]
    ours = {node.name for node in classes} - BASES
    assert not [node.name for node in classes for base in node.bases if ast.unparse(base).split(".")[-1] in ours]
    assert not [path for path in MODULES if path.stem in {"utils", "util", "helpers", "common", "misc", "settings"}]


def test_a_class_name_has_one_meaning():
    """No two modules have a public class of one name."""
    names = Counter(node.name for path in MODULES for node in nodes(path) if isinstance(node, ast.ClassDef))
    assert not [name for name, times in names.items() if times > 1 and not name.startswith("_")]
