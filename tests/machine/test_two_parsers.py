"""The parser in C and the one in Python say the same of a text, or the first says nothing."""

import random
import time
from pathlib import Path

import pytest
from ruamel.yaml import YAML
from ruamel.yaml.error import YAMLError

from sequencer.machine.reader.yaml_tree import _quickly
from tests.machine.test_mutations import KINDS
from tests.support.profile import before_landing, counts

ROOT = Path(__file__).resolve().parents[2]
SHIPPED = ("models/delivery-van.yaml", "examples/bench-pump.yaml", "examples/guide/mower.yaml")
EACH = counts(quick=8, landing=15, nightly=3000)
PIECES = (
    *"{}[],:#'\"|>-?!&*%\n",
    ": ",
    "- ",
    "\n  ",
    " #",
    "''",
    "---",
    "|\n",
    "|2\n",
    ">-\n",
    "\\x41",
    ":: x",
    "🚗",
)


def told(event):
    """What an event says and where."""
    says = tuple(
        getattr(event, name, None) or None for name in ("value", "style", "flow_style", "anchor", "tag")
    )
    places = ((mark.line, mark.column, mark.index) for mark in (event.start_mark, event.end_mark))
    return type(event).__name__, says, *places


def slowly(text):
    try:
        return [told(event) for event in YAML(typ="safe", pure=True).parse(text)]
    except YAMLError as why:
        return why


@before_landing
@pytest.mark.parametrize("file", SHIPPED)
def test_a_sound_file_is_read_quickly_and_as_it_is(file):
    text = (ROOT / file).read_text(encoding="utf-8")
    assert [told(event) for event in _quickly(text) or ()] == slowly(text)


@pytest.mark.parametrize("kind", KINDS)
def test_a_damaged_file_is_read_quickly_only_where_both_say_the_same(kind):
    for seed in range(EACH):
        text = KINDS[kind](random.Random(f"{kind} {seed}"))
        if (quickly := _quickly(text)) is not None:
            assert [told(event) for event in quickly] == slowly(text)


@before_landing
def test_signs_put_into_a_sound_file_are_read_quickly_only_where_both_say_the_same():
    text = (ROOT / SHIPPED[-1]).read_text(encoding="utf-8")
    taken = 0
    for seed in range(EACH * 10):
        rng = random.Random(seed)
        at = rng.randrange(len(text))
        new = text[:at] + rng.choice(PIECES) + text[at:]
        if (quickly := _quickly(new)) is not None:
            taken += 1
            assert [told(event) for event in quickly] == slowly(new)
    assert taken > EACH


@pytest.mark.parametrize("deep", ["[", "{", "a: {", "- ", "? "])
def test_a_text_that_is_nested_deep_is_left_to_the_other_parser_at_once(deep):
    def took(times):
        began = time.process_time()
        assert _quickly(deep * times + "\n") is None
        return time.process_time() - began

    few = min(took(4_000) for _ in range(3))
    assert min(took(32_000) for _ in range(3)) < 8 * 4 * few + 0.05  # the square would be 64 times as long
