"""The report for one target fits one screen before the details."""

import io
import re
from pathlib import Path

import pytest
from rich.console import Console

from sequencer.document.plans.blockers import blockers_document, savings_document
from sequencer.engine.problem import Limits
from sequencer.graph import parse_targets
from sequencer.machine import read
from sequencer.plan.blockers import in_the_way
from sequencer.render.terminal import show as render
from tests.support.profile import before_landing, counts

HEAD = ("head", "Earth strap: head end undone (taken), or Earth strap: body end undone: ")
MANIFOLD = (
    "inlet-manifold",
    "Fuel rail with injectors: feed undone (taken), or Fuel rail with injectors aside: ",
)
OFF, OTHER_WAY = counts(quick=MANIFOLD, nightly=HEAD)
ROOT = Path(__file__).resolve().parent.parent.parent


@pytest.fixture(scope="module")
def van():
    machine = read(ROOT / "models" / "delivery-van.yaml").machine
    return in_the_way(machine, parse_targets(machine, [OFF]), Limits(states=5_000_000))


def printed(show, found, width):
    stream = io.StringIO()
    render(show(found), Console(file=stream, width=width, highlight=False, markup=False, emoji=False))
    return stream.getvalue().splitlines()


@before_landing
@pytest.mark.parametrize("width", [80, 100])
def test_the_first_screen_of_the_van_has_at_most_forty_lines(van, width):
    lines = printed(blockers_document, van, width)
    first = next(n for n, line in enumerate(lines) if line.startswith("What waits for what"))
    assert 15 <= first <= 42
    assert max(map(len, lines)) <= width


def test_every_part_in_the_way_stands_in_the_tree_once(van):
    lines = printed(blockers_document, van, 100)
    start = next(n for n, line in enumerate(lines) if line.startswith("What waits for what"))
    branches = [line for line in lines[start:] if "├── " in line or "└── " in line]
    assert len(branches) == len(van.tree.things) - 1


def test_the_other_ways_have_their_price(van):
    text = " ".join(" ".join(printed(blockers_document, van, 100)).split())
    assert re.search(rf"{re.escape(OTHER_WAY)}\d+ (s|min) more", text)


def test_nothing_to_price_is_said_in_a_line(van):
    assert len(printed(savings_document, van, 100)) <= 5
