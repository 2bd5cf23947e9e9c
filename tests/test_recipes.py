"""A relation, a head and an output format are added in one place each, and every entrance takes them.

A program of its own (``tests/support/recipe.py``) puts made-up ones into the tables before anything reads
them, and goes through every entrance. DEVELOPERS.md has the recipes.
"""

import ast
import json
import re
import subprocess
import sys
from functools import cache
from pathlib import Path

import pytest

from sequencer.machine.trade.relations import relations
from tests.support.profile import before_landing, counts
from tests.support.recipe import ENTRANCES

ROOT = Path(__file__).resolve().parent.parent
PACKAGE = ROOT / "sequencer"
MOST_FILES = 6
"""A relation touches so many files at the most."""

NO_RELATION = {
    "behind": {
        "critic/data/words.toml", "critic/rules/places.py", "machine/data/heard.toml",
        "machine/heard/beside.py",
        "machine/survey/spills.py", "plan/data/cautions.toml", "plan/data/looks.toml",
        "plan/data/trouble.toml", "spoken/data/lines.toml", "spoken/naming.py",
    }
}  # fmt: skip
"""Where the word of a relation is plain English: what people say of a place."""


@cache
def answers(how):
    """What each entrance makes of the made-up rows, by its name: None where it takes them."""
    program = [sys.executable, "-m", "tests.support.recipe", how]
    done = subprocess.run(program, cwd=ROOT, capture_output=True, text=True, check=True)
    return json.loads(done.stdout)


@before_landing
def test_every_entrance_takes_what_is_in_the_tables():
    assert answers("whole") == dict.fromkeys(ENTRANCES)


@pytest.mark.parametrize("how", counts(quick=(), landing=(), nightly=("hollow", "absent")))
def test_an_entrance_that_lacks_its_part_of_a_row_is_found_out(how):
    taken = {entrance for entrance, fault in answers(how).items() if fault is None}
    assert taken == ({"edit", "critic"} if how == "hollow" else set())  # they ask for the key alone


def names_in(path):
    """The names that a file of the package speaks of: what may be a key of the machine file there."""
    text = path.read_text("utf-8")
    if path.suffix != ".py":
        return {*re.findall(r"\w+", re.sub(r"(?m)^#.*", "", text))}
    found = ast.walk(ast.parse(text))  # no object has a relation for an attribute: types see to that
    return {one.value for one in found if isinstance(one, ast.Constant) and isinstance(one.value, str)}


@pytest.fixture(scope="module")
def names():
    files = (one for one in PACKAGE.rglob("*") if one.suffix in (".py", ".toml", ".html", ".js", ".typ"))
    return {str(path.relative_to(PACKAGE)): names_in(path) for path in files}


@before_landing
@pytest.mark.parametrize("key", [one.key for one in relations()])
def test_a_relation_is_named_in_few_files_and_by_no_code(names, key):
    plain = NO_RELATION.get(key, set())
    assert plain <= {path for path, own in names.items() if key in own}
    speaking = sorted(path for path, own in names.items() if key in own and path not in plain)
    assert len(speaking) <= MOST_FILES, speaking
    assert not [path for path in speaking if path.endswith(".py")]


SPREAD = {"wet": 3, "carries": 5, "serves": 4, "rides": 6}
"""Keys beside the table that tie things together, and how many files name each: to lower, never to raise."""

NO_KEY = {
    "wet": {  # what is wet to the touch, a reason's name, rules of other tables: of looks, of cautions
        "graph/operations.py", "plan/data/hours.toml", "plan/data/looks.toml", "plan/hours/mishaps.py",
        "plan/looks/looks_lift.py", "plan/hazards/hazards.py", "plan/data/cautions/fluids.toml",
        "plan/data/cautions/fuel.toml", "plan/data/cautions/springs.toml",
    },
    "serves": {"plan/practice/rules.py"},
}  # fmt: skip
"""Where the same word is no key of the machine file."""


def named_in(path):
    """The same of a key that objects have as an attribute too."""
    text = path.read_text("utf-8")
    if not any(key in text for key in SPREAD):  # most files: not to be parsed
        return set()
    if path.suffix != ".py":
        keys = re.findall(r'(?m)(?<=^key = ")\w+|^\s*[\w-]+(?=\s*=)', text)
        return {one.strip() for one in keys}
    found = names_in(path)
    for one in ast.walk(ast.parse(text)):
        match one:
            case ast.Attribute(attr=name) | ast.keyword(arg=str(name)):
                found.add(name)
            case ast.AnnAssign(target=ast.Name(id=name)):
                found.add(name)
    return found


@pytest.fixture(scope="module")
def named():
    files = (one for one in PACKAGE.rglob("*") if one.suffix in (".py", ".toml"))
    return {str(path.relative_to(PACKAGE)): named_in(path) for path in files}


@before_landing
@pytest.mark.parametrize("key", SPREAD)
def test_what_a_key_means_is_said_in_few_files(named, key):
    speaking = {path for path, own in named.items() if key in own}
    assert NO_KEY.get(key, set()) <= speaking
    assert len(speaking - NO_KEY.get(key, set())) == SPREAD[key], sorted(speaking)  # fewer: lower the bar


@pytest.mark.parametrize("thing", ["a relation", "a head", "an output format"])
def test_the_developers_are_told_how(thing):
    (row,) = re.findall(rf"(?m)^\| {thing}[ :|].*", (ROOT / "DEVELOPERS.md").read_text("utf-8"))
    for path in re.findall(r"`([\w/]+\.(?:py|toml|md))`", row):
        assert any((base / path).exists() for base in (ROOT, PACKAGE)), path


def test_what_the_developers_are_sent_to_exists():
    named = re.findall(r"`([\w.]+/[\w/.]*)`", (ROOT / "DEVELOPERS.md").read_text("utf-8"))
    rooms = [(base, path) for base in (ROOT, PACKAGE) for path in named]
    bases = [(base, path) for base, path in rooms if (base / path.split("/")[0]).exists()]
    assert len(bases) > 100
    assert {path for base, path in bases if "NAME" not in path and not (base / path).exists()} == set()
