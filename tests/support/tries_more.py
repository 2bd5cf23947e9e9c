"""Which tests try more before a landing than at once: what comes, by name, from a `counts(…, landing=…)`."""

import ast
from collections import Counter
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
FOUND = {"tests.support.profile": {"before_landing", "PROFILE"}}
"""For each module the names behind which something else may stand before a landing."""

LANDING = "landing="
"""Stands for the argument, among names."""


def tries_more(item):
    """Whether the test, its class, what it is parametrised with or a fixture of it has another count then.

    What differs in the number of hypothesis' examples alone does not: the night has many more.
    """
    own = {item.originalname, *(node.name for node in item.listchain())}
    if not own.isdisjoint(varied(module_at(item.path))):
        return True
    fixtures = [one.func for each in item._fixtureinfo.name2fixturedefs.values() for one in each]
    ours = [func for func in fixtures if func.__code__.co_filename.startswith(f"{ROOT / 'tests'}/")]
    return any(func.__name__ in varied(module_at(Path(func.__code__.co_filename))) for func in ours)


FEW = 2
"""Of so many cases of a test none is left out."""

MANY = 6
"""Of so many it is every third."""


def every_other(items):
    """Of several cases of a test every other one, of many every third: the night has the rest.

    All that look at the van stay.
    """
    cases = Counter(family(item) for item in items)
    seen = Counter()
    for item in items:
        of = 1 if cases[family(item)] <= FEW else 3 if cases[family(item)] >= MANY else 2
        if seen[family(item)] % of == 0 or "van" in item.name:
            yield item
        seen[family(item)] += 1


def family(item):
    return item.nodeid.partition("[")[0]


def module_at(path):
    return ".".join(path.relative_to(ROOT).with_suffix("").parts)


def varied(module):
    """Names of a module of the tests behind which something else may stand before a landing."""
    if module not in FOUND:
        FOUND[module] = set()  # for a module that imports this one and is imported by it
        FOUND[module] = found_in(module)
    return FOUND[module]


def found_in(module):
    tree = ast.parse(file_of(module).read_text(encoding="utf-8"))
    found = {LANDING}
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and (node.module or "").partition(".")[0] == "tests":
            found |= {one.asname or one.name for one in node.names if differs(node.module, one.name)}
    made = [(made_by(node), used_by(node)) for node in tree.body]
    while more := {name for names, used in made if not used.isdisjoint(found) for name in names} - found:
        found |= more
    return found - {LANDING}


def differs(module, name):
    """Whether a name that is imported is one of those, or a module that has some."""
    within = f"{module}.{name}"
    return bool(varied(within)) if file_of(within).exists() else name in varied(module)


def file_of(module):
    path = ROOT.joinpath(*module.split("."))
    return path / "__init__.py" if path.is_dir() else path.with_suffix(".py")


def made_by(node):
    """The names that a statement makes in its module."""
    if isinstance(node, ast.FunctionDef | ast.ClassDef):
        return {node.name}
    return names_in(node, ast.Store)


def used_by(node):
    given = {one.arg for one in ast.walk(node) if isinstance(one, ast.keyword)}
    return names_in(node, ast.Load) | {LANDING for arg in given if arg == "landing"}


def names_in(node, context):
    return {one.id for one in ast.walk(node) if isinstance(one, ast.Name) and isinstance(one.ctx, context)}
