"""Reading YAML with places: what is refused, and that it is refused quickly."""

import time

import pytest

from sequencer.machine.faults import Faults
from sequencer.machine.reader.yaml_tree import MOST_DEPTH, compose
from tests.support.profile import before_landing, counts


def read(text):
    faults = Faults()
    tree = compose(text, "f", faults)
    return tree, [str(fault).removeprefix("f:") for fault in faults.sorted()]


def test_scalars_stay_text_and_only_nothing_is_nothing():
    tree, faults = read("{a: 12:30, b: 010, c: on, d: 8.80, e: ~, f: null, g: , h: '', i: 'null', j: 1_000}")
    assert faults == []
    assert tree.data == {
        "a": "12:30",
        "b": "010",
        "c": "on",
        "d": "8.80",
        "e": None,
        "f": None,
        "g": None,
        "h": "",
        "i": "null",
        "j": "1_000",
    }


def test_places_of_keys_and_values_are_kept():
    tree, _ = read("a:\n  b: [x, {c: y}]\n")
    assert str(tree.place(("a", "b", 1, "c"))) == "f:2"
    assert tree.place(("a", "b", 1, "c")).column == 14
    assert tree.place(("a", "b", 1, "c"), key=True).column == 11
    assert tree.place(("a", "b")).column == 6
    missing = tree.place(("a", "nothing"))
    assert (missing.line, missing.column) == (1, 1)


def test_one_entry_without_its_list_is_found_at_its_own_place():
    tree, _ = read("a:\n  behind:\n    any:\n      - x\n      - y\n")
    assert tree.place(("a", "behind", 0, "any", 1)).line == 5


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ("a: &b c", "1:4: here is an anchor (`&`), which a machine file can't have; leave it out; "),
        (
            "a: *b",
            "1:4: here is an alias (`*`), which a machine file can't have; write out what it stands for",
        ),
        (
            "*b : a",
            "1:1: here is an alias (`*`), which a machine file can't have; write out what it stands for",
        ),
        ("a: !!str b", "1:4: here is a tag (`!`), which a machine file can't have; leave it out; "),
        ("&a b: c", "1:1: here is an anchor (`&`), "),
        (
            "a: 1\n---\nb: 2",
            "2:1: a second document begins here (`---`); give each machine a file of its own",
        ),
        ("? [a]\n: b", "1:3: a list or a mapping can't be a key; write a name before the colon"),
        ("a: 1\nb: 2\na: 3", "3:1: `a` is here a second time; the first is in line 1; keep one of them"),
        ("a: b: c", "1:5: a colon where none can be; put a text with a colon in quotes, or line"),
        ("a: {label: Note: hot}", "1:16: a colon where none can be; "),
        ("a:\n\t- b", "2:1: a tab where spaces belong; indent with spaces"),
        (
            "a: [1, 2\nb: 3",
            "2:2: a bracket is opened and not closed (what it belongs to begins in line 1); close it",
        ),
        ("a: {b: c", "1:9: a bracket is opened and not closed; close it, and put a comma between entries"),
        ("a: 'x", "1:6: a quote is opened and never closed; close it"),
        ('a: "\\q"', "1:6: a backslash that means nothing; write "),
        ("a: b\nc", "2:2: a line that has no colon; write key: value"),
        (
            "- a\nb: c",
            "2:1: this line is not indented like its neighbours (what it belongs to begins in line 1)",
        ),
        ("a: @b", "1:4: a character that can't begin a text; put the text in quotes"),
        ("a: %b", "1:4: a character that can't begin a text; put the text in quotes"),
        ('a: "\\x1b[31m"', "1:4: this text has a control character (U+001B); take it out"),
        ('a: "\\ud800"', "1:4: this text has a control character (U+D800); take it out"),
        ('a: "\\UFFFFFFFF"', "1:1: this can't be read as YAML: "),
        ("%YAML 3.0\n---\na: b", "1:1: this can't be read as YAML: "),
    ],
)
def test_what_is_wrong_with_the_yaml_is_said_in_plain_words(text, fault):
    _, faults = read(text)
    assert len(faults) == 1
    assert faults[0].startswith(fault), faults[0]


@pytest.mark.parametrize(
    ("text", "column", "label"),
    [
        ("{label: Left side, standing}", 20, "Left side, standing"),
        ("{label: Left, right, standing, from: x}", 15, "Left, right, standing"),
    ],
)
def test_a_comma_in_an_unquoted_label_is_said_with_the_whole_label(text, column, label):
    _, faults = read(text)
    assert faults == [
        (
            f"1:{column}: the comma in {label} ends the text and begins a key without a value; "
            f'put the text in quotes: label: "{label}"'
        )
    ]


def test_names_without_more_in_braces_are_keys():
    assert (
        read("{jack: , long-bar}")[0].data
        == read("{jack, long-bar}")[0].data
        == {"jack": None, "long-bar": None}
    )


SIZE = counts(quick=1_200, landing=20_000, nightly=500_000)
HOSTILE = {
    "open brackets": "a: " + "[" * SIZE,
    "open braces": "{" * SIZE,
    "nested brackets": "a: " + "[" * 2000 + "]" * 2000,
    "dashes": "- " * (SIZE // 2),
    "question marks": "? " * (SIZE // 2),
    "deep indentation": "".join(" " * depth + "a:\n" for depth in range(900)),
    "aliases": "a: &a x\n" + "".join(f"k{number}: *a\n" for number in range(SIZE // 12)),
    "an alias bomb": "a: &a [x]\n"
    + "".join(f"{b}: &{b} [{f'*{a},' * 9}]\n" for a, b in zip("abcdefgh", "bcdefghi", strict=True)),
    "many keys": "".join(f"k{number}: v\n" for number in range(SIZE // 10)),
    "equal keys": "a: b\n" * (SIZE // 5),
    "a long list": "a: [" + "x," * (SIZE // 2 - 4) + "]",
    "tags": "".join(f"k{number}: !!str x\n" for number in range(SIZE // 17)),
    "one long line": "a: " + "x " * (SIZE // 2),
    "one long word": "a: " + "x" * SIZE,
    "an open quote": 'a: "' + "x\n" * (SIZE // 2),
    "blank lines": "a: x\n" + "\n" * (SIZE - 10),
    "documents": "---\n" * (SIZE // 4),
    "colons": ":" * SIZE,
    "a long key": "x" * SIZE + ": a",
}


@before_landing
@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_texts_end_soon_and_never_recurse(name):
    began = time.process_time()  # of this process alone: other work on the machine must not fail the test
    read(HOSTILE[name])
    assert time.process_time() - began < 30


@before_landing
def test_nesting_is_refused_at_its_line():
    _, faults = read("a: " + "[" * 500 + "]" * 500)
    assert faults == [
        (
            f"1:{3 + MOST_DEPTH}: this is nested more than {MOST_DEPTH} levels deep; "
            "a machine file needs about ten"
        )
    ]
