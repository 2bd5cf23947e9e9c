"""A file in any formatting says, after an edit, what it said before plus the change, on the same lines."""

import copy

from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from sequencer.machine.edit import EditError, Editor
from sequencer.machine.edit.expected import put_in, same, take_out
from sequencer.machine.edit.layout import Layout
from sequencer.machine.faults import Faults
from sequencer.machine.reader.yaml_tree import compose
from tests.machine.odd_yaml import written
from tests.support.profile import counts

NAMES = st.sampled_from(
    [
        "motor",
        "7",
        "oil pan",
        "Zahnriemen-Ölwanne",
        "水泵",
        "on",
        "12:30",
        "a, b",
        "x: y",
        "- dash",
        "#no",
        "null",
        "it's",
    ]
)
WORDS = st.sampled_from(
    [
        "5 s",
        "Left side, standing",
        "a: b",
        "don't",
        'say "go"',
        "",
        "[x]",
        "{y}",
        "ends:",
        " # c",
        "Öl",
        "two\nlines",
        "~",
    ]
)
NEEDS = st.one_of(
    NAMES, st.builds(lambda n: {n: "loose"}, NAMES), st.builds(lambda n: {"any": [n, {n: "aside"}]}, NAMES)
)
JOINT = st.fixed_dictionaries(
    {},
    optional={
        "kind": WORDS,
        "behind": st.one_of(NEEDS, st.lists(NEEDS, max_size=3)),
        "caution": st.lists(WORDS, max_size=3),
        "crack": st.one_of(st.lists(NAMES, min_size=1, max_size=2), st.fixed_dictionaries({"while": NAMES})),
        "torque": st.one_of(WORDS, st.lists(WORDS, min_size=1, max_size=2)),
    },
)
PART = st.fixed_dictionaries(
    {},
    optional={
        "label": WORDS,
        "behind": st.one_of(st.none(), NEEDS, st.lists(NEEDS, max_size=3)),
        "joints": st.one_of(st.none(), st.dictionaries(NAMES, st.one_of(JOINT, st.none()), max_size=3)),
        "note": WORDS,
        "loose": st.sampled_from(["yes", None, ["a"], {"joints": ["a"]}]),
    },
)
FILE = st.fixed_dictionaries(
    {"parts": st.dictionaries(NAMES, st.one_of(PART, st.none()), min_size=1, max_size=4)},
    optional={
        "machine": WORDS,
        "tasks": st.dictionaries(NAMES, PART, max_size=2),
        "first": st.lists(NAMES, max_size=2),
    },
)
ODD = settings(
    max_examples=counts(quick=8, landing=20, nightly=2000),
    suppress_health_check=list(HealthCheck),
    phases=[Phase.explicit, Phase.reuse, Phase.generate],
)


def reads(text):
    faults = Faults()
    tree = compose(text, "odd", faults)
    assert not faults.fatal, (text, [str(one) for one in faults.sorted()])
    return tree.data


@st.composite
def cases(draw):
    data = draw(FILE)
    text = draw(written(data))
    return text, reads(text)


def lost_lines(editor):
    """How many lines are not as they were."""
    return sum(line[0] == "-" for line in editor.diff().splitlines()[2:])


@ODD
@given(cases())
def test_the_layout_reads_what_the_reader_reads(case):
    text, data = case
    assert same(Layout(text).root.data(), data)


@ODD
@given(cases(), st.data())
def test_a_new_part_joint_or_need_changes_at_most_the_line_that_it_stands_on(case, data):
    text, before = case
    parts = list(before["parts"])
    part = data.draw(st.sampled_from(parts))
    comment = data.draw(st.sampled_from([None, "found: today", "two\nlines"]))
    editor = Editor(text=text)
    expected = copy.deepcopy(before)
    what = data.draw(st.sampled_from(["part", "joint", "need", "task"]))
    if what == "part":
        after = data.draw(st.sampled_from([None, *parts]))
        fields = {"label": data.draw(WORDS), "joints": {"b, c": {"kind": "bolt", "note": "x: y"}}}
        editor.add_part("new, part", fields, after=after, comment=comment)
        put_in(expected, ("parts", "new, part"), fields, after)
    elif what == "joint":
        fields = {"kind": "bolt", "note": data.draw(WORDS)}
        editor.add_joint(part, "new joint", fields, comment=comment)
        put_in(expected, ("parts", part, "joints", "new joint"), fields)
    elif what == "need":
        need = data.draw(st.sampled_from(["new", {"new": "loose"}, {"any": ["new", "other/joint"]}]))
        editor.add_need(part, "behind", need, comment=comment)
        there = (before["parts"][part] or {}).get("behind")
        entries = there if isinstance(there, list) else [] if there is None else [there]
        put_in(expected, ("parts", part, "behind"), [*entries, need])
    else:
        editor.add_task("new: task", {"time": "2 min", "undo": {"label": "a, b"}}, comment=comment)
        put_in(expected, ("tasks", "new: task"), {"time": "2 min", "undo": {"label": "a, b"}})
    assert same(sorted_top(reads(editor.text)), sorted_top(expected))
    assert ("\r\n" in text) <= (editor.text.count("\r\n") == editor.text.count("\n"))
    moved = what == "need" and "behind" in (before["parts"][part] or {})
    assert lost_lines(editor) <= (30 if moved else 1), editor.diff()


def sorted_top(data):
    """A new section goes where its kind usually stands."""
    return dict(sorted(data.items()))


@ODD
@given(cases(), st.data())
def test_what_was_added_can_be_taken_out_again(case, data):
    text, before = case
    part = data.draw(st.sampled_from(list(before["parts"])))
    editor = Editor(text=text)
    editor.add_need(part, "behind", "new one")
    editor.remove_need(part, "behind", "new one")
    there = (before["parts"][part] or {}).get("behind")
    after = reads(editor.text)["parts"][part] or {}
    entries = there if isinstance(there, list) else [] if there is None else [there]
    left = after.get("behind")
    assert (left if isinstance(left, list) else [] if left is None else [left]) == entries
    for key in set(before["parts"][part] or {}) - {"behind"}:
        assert same(after[key], before["parts"][part][key])


def paths(data, path=()):
    if path:
        yield path
    items = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    for step, below in items:
        yield from paths(below, (*path, step))


@ODD
@given(cases(), st.data())
def test_any_value_can_be_written_over(case, data):
    text, before = case
    path = data.draw(st.sampled_from(list(paths(before))))
    value = data.draw(st.one_of(WORDS, NEEDS, st.lists(NEEDS, max_size=2)))
    editor, expected = Editor(text=text), copy.deepcopy(before)
    editor.set_value(path, value, data.draw(st.sampled_from([None, "measured"])))
    put_in(expected, path, value)
    assert same(reads(editor.text), expected)


@ODD
@given(cases(), st.data())
def test_any_entry_can_be_taken_out_or_is_refused_in_words(case, data):
    text, before = case
    path = data.draw(st.sampled_from(list(paths(before))))
    editor, expected = Editor(text=text), copy.deepcopy(before)
    try:
        editor.remove(path)
    except EditError:
        assert editor.text == text
        return
    take_out(expected, path)
    assert same(reads(editor.text), expected)
