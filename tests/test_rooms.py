"""Data flows one way: no room imports one that comes after it."""

import ast
import re
from collections import Counter
from collections.abc import Iterable, Iterator
from functools import cache
from pathlib import Path

import networkx as nx

import sequencer

PACKAGE = Path(sequencer.__file__).parent
ALLOWED = {
    "errors": set(),
    "version": set(),
    "wording": set(),
    "quantities": {"errors"},
    "torque": {"quantities"},
    "machine": {"torque"},
    "spoken": {"machine"},
    "graph": {"machine"},
    "engine": set(),
    "plan": {"graph", "engine"},
    "critic": {"plan"},
    "job": {"plan", "spoken"},
    "document": {"job", "critic"},
    "render": {"document", "version"},
    "bench": {"render"},
    "door": {"render"},
    "cli": {"bench", "door"},
}


def below(room: str) -> set[str]:
    """The rooms that a room may import: those it names, and what they rest on."""
    found = {room, "errors", "wording"}
    for other in ALLOWED[room]:
        found |= below(other)
    return found


Import = ast.ImportFrom | ast.Import
Function = ast.FunctionDef | ast.AsyncFunctionDef


@cache
def read(path: Path) -> tuple[tuple[Import, ...], tuple[tuple[str, int], ...]]:
    """The imports of a file, wherever in it they stand, and its functions with their lines."""
    nodes = tuple(ast.walk(ast.parse(path.read_text(encoding="utf-8"))))
    functions = ((one.name, lines_of(one)) for one in nodes if isinstance(one, Function))
    return tuple(one for one in nodes if isinstance(one, Import)), tuple(functions)


def lines_of(function: Function) -> int:
    text = ast.get_docstring(function, clean=False) or ""
    return 1 + function.end_lineno - function.lineno - text.count("\n")


def import_lines(path: Path) -> tuple[Import, ...]:
    return read(path)[0]


def imports(path: Path) -> set[str]:
    found = set()
    for node in import_lines(path):
        names = []
        if isinstance(node, ast.ImportFrom):
            names = [f"{node.module}.{alias.name}" for alias in node.names]
            assert node.level == 0, f"{path}: imports are absolute"
        else:
            names = [alias.name for alias in node.names]
        found |= {name.split(".")[1] for name in names if name.startswith("sequencer.")}
    return found


def test_no_room_imports_one_above_it():
    for path in sorted(PACKAGE.rglob("*.py")):
        room = path.relative_to(PACKAGE).parts[0].removesuffix(".py")
        if room == "__init__":
            assert imports(path) == {"door", "errors", "graph", "machine", "version"}  # for types
        else:
            assert imports(path) <= below(room), path


def test_every_room_is_known():
    rooms = {entry.name.removesuffix(".py") for entry in PACKAGE.iterdir() if not entry.name.startswith("__")}
    assert rooms <= {*ALLOWED, "models"}


@cache
def file_of(module: str) -> Path | None:
    """The file of a module of the package, of a folder its ``__init__``."""
    place = PACKAGE.parent.joinpath(*module.split("."))
    files = (place.with_suffix(".py"), place / "__init__.py")
    return next((one for one in files if one.is_file()), None)


def files_imported(path: Path) -> Iterator[Path | None]:
    """The files of the package that a file imports."""
    for node in import_lines(path):
        if isinstance(node, ast.ImportFrom) and node.module:
            whole = file_of(node.module)
            yield from (file_of(f"{node.module}.{alias.name}") or whole for alias in node.names)
        elif isinstance(node, ast.Import):
            yield from (file_of(alias.name) for alias in node.names)


@cache
def imported() -> tuple[tuple[Path, Path], ...]:
    """Each file of the package with each that it imports."""
    return tuple((path, other) for path in PACKAGE.rglob("*.py") for other in files_imported(path) if other)


def circles(arrows: Iterable[tuple[Path, Path]]) -> list[list[str]]:
    graph = nx.DiGraph(arrows)
    assert graph.number_of_edges() > 10  # it does look
    return [sorted(map(str, ring)) for ring in nx.strongly_connected_components(graph) if len(ring) > 1]


def test_no_file_imports_one_that_imports_it():
    """Imports inside functions and for types count, and what a folder's ``__init__`` hands on."""
    assert circles(imported()) == []


def test_no_folder_of_a_room_imports_one_beside_it_that_imports_it():
    folders = ((one.parent, other.parent) for one, other in imported())
    beside = ((one, other) for one, other in folders if one != other and one.parent == other.parent)
    assert circles(beside) == []


MOST_LINES = 63
"""Of a function, docstring apart: to lower, never to raise."""
MOST_LONG = 24
"""So many have more than 40."""


def test_functions_are_short():
    lines = {
        (count, f"{path.name}: {name}") for path in PACKAGE.rglob("*.py") for name, count in read(path)[1]
    }
    assert max(lines)[0] <= MOST_LINES, max(lines)
    longer = sorted(one for one in lines if one[0] > 40)
    assert len(longer) <= MOST_LONG, longer


def test_no_two_classes_bear_one_name():
    """A reader who meets a name knows what is meant; what is private to a file is seen there."""
    places: dict[str, list[str]] = {}
    for path in sorted(PACKAGE.rglob("*.py")):
        for name in re.findall(r"^class ([A-Z]\w*)", path.read_text(encoding="utf-8"), re.MULTILINE):
            places.setdefault(name, []).append(str(path.relative_to(PACKAGE)))
    assert {name: found for name, found in places.items() if len(found) > 1} == {}


MOST_SHARED = 71
"""So many file names stand in two or more rooms: to lower, never to raise."""


def test_a_file_name_tells_what_it_is_about():
    """One name in two rooms is one thing at two stages (``plan/refit.py``, ``cli/before/refit.py``)."""
    found = Counter(path.name for path in PACKAGE.rglob("*.py") if path.name != "__init__.py")
    assert len([name for name, count in found.items() if count > 1]) <= MOST_SHARED


MOST_IN_ONE = 26
"""Files that lie in one folder beside each other: to lower, never to raise."""


def test_no_room_is_a_flat_list():
    """A room of many files has rooms of its own, which say what they hold."""
    found = Counter(path.parent for path in PACKAGE.rglob("*.py") if path.name != "__init__.py")
    assert found.most_common(1)[0][1] <= MOST_IN_ONE, found.most_common(1)
    silent = [folder for folder in found if folder != PACKAGE and not head_of(folder / "__init__.py")]
    assert silent == []


def head_of(path: Path) -> str | None:
    return ast.get_docstring(ast.parse(path.read_text(encoding="utf-8"))) if path.exists() else None
