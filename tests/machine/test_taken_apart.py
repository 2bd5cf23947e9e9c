"""How a machine came apart: what the file says of it, what can be wrong in that, and what nobody said."""

import pytest

from sequencer.machine.edit import EditError, Editor
from sequencer.machine.facts.taken import NOT_TAKEN_APART
from sequencer.machine.model import Atom, State
from tests.machine.texts import faults, machine

LEARNED = """\
machine: Learned
repeat: {side: [left, right]}
fluids: {coolant: {}}
tasks: {prop: {undo: {}}, run: {only: back, behind: [coolant]}}
parts:
  guard: {joints: {screws: {kind: screw, head: PH2, unsure: [kind, head]}}, unsure: [weight]}
  plug-<side>: {joints: {nut: {kind: nut, head: 10}}}
  cooler: {aside: yes, joints: {nut: {kind: nut, head: 10}, clip: {kind: clip}}}
"""


def taken(*lines: str) -> str:
    return LEARNED + "taken_apart:\n" + "".join(f"  {line}\n" for line in lines)


def test_a_file_that_says_nothing_of_it_was_not_taken_apart():
    assert machine(LEARNED).taken_apart == NOT_TAKEN_APART
    assert machine(LEARNED + "taken_apart:\n").taken_apart == NOT_TAKEN_APART


def test_its_order_what_of_it_is_free_and_what_was_guessed_are_read():
    found = machine(
        taken(
            "order: [guard, plug-<side>, {cooler: aside}, cooler/clip, coolant, prop]",
            "free:",
            "  - {first: guard, source: said on the job}",
            "  - {first: [plug-<side>], then: [coolant]}",
            "guessed: prop",
        )
    ).taken_apart
    parts = [("parts", Atom(one)) for one in ("guard", "plug-left", "plug-right")]
    parts += [("parts", Atom("cooler", State.ASIDE)), ("parts", Atom("cooler", joint="clip"))]
    assert [(one.section, one.atom) for one in found.order] == [
        *parts,
        ("fluids", Atom("coolant")),
        ("tasks", Atom("prop")),
    ]
    said = [([str(one) for one in free.first], free.then, free.source) for free in found.free]
    assert said[0] == (["guard"], None, "said on the job")
    assert [free.then and [str(one) for one in free.then] for free in found.free[1:]] == [["coolant"]] * 2
    assert [str(one) for one in found.guessed] == ["prop"]
    assert found.order[0].place.line == len(LEARNED.splitlines()) + 2


def test_what_nobody_said_is_kept():
    parts = machine(LEARNED).parts
    assert parts["guard"].unsure == ("weight",)
    assert parts["guard"].joints["screws"].unsure == ("kind", "head")
    assert parts["cooler"].unsure == parts["cooler"].joints["nut"].unsure == ()


@pytest.mark.parametrize(
    ("order", "fault"),
    [
        ("gaurd", "there is no part, fluid or task `gaurd`; did you mean `guard`?"),
        ("cooler/nutt", "`cooler` has no joint `nutt`; did you mean `nut`?"),
        ("{color: aside}", "there is no part `color`; did you mean `cooler`?"),
        ("{guard: aside}", "`guard` can't be moved aside: it has no `aside`; write aside: yes under it"),
        ("{guard: loose}", "`guard` can't be loosened: it has no `loose`; write loose: yes under it"),
        ("{cooler: asid}", "`cooler` is asked to be `asid`, which is not a state; did you mean `aside`?"),
        ("{any: [guard]}", "one thing at a time was done; write the one that it was"),
        (
            "run",
            "`run` is done on the way back alone (only: back); take it out, or name a task of the way in",
        ),
        ("plug-left", "`plug-left` is in this list twice; the first is in line 11; take one of them out"),
    ],
)
def test_each_fault_of_the_order_has_its_line_and_what_to_do(order, fault):
    [one] = faults(taken("order:", "  - plug-<side>", f"  - {order}"))
    line, said = one.split(": ", 1)
    assert said == fault
    assert line.startswith("12:")


def test_all_faults_are_said_at_once():
    found = faults(
        taken(
            "order: [gaurd, {guard: aside}]",
            "free: [{then: [guard]}, {first: [cooler], than: [guard]}]",
        ).replace("[weight]", "[wieght]")
    )
    wanted = ["`wieght` is not a key of a part; did you mean `weight`?", "`gaurd`", "can't be moved aside"]
    wanted += ["an order of no matter needs `first`", "`than` is not a key", "`cooler` is not in the order"]
    assert len(found) == len(wanted)
    for one in wanted:
        assert any(one in fault for fault in found), one


def test_what_is_said_of_things_that_are_not_in_the_order_is_a_warning():
    [one] = faults(taken("order: [{cooler: aside}, guard]", "free: [{first: [cooler]}]"))
    assert (
        "warning: `cooler` is not in the order, so this says nothing; did you mean `{cooler: aside}`?" in one
    )


ORDERS = [
    ("[a, b]", "[a, new, b]"),
    (
        "\n    - a\n    # told by Ann\n    - {b: aside}\n",
        "\n    - a\n    - new\n    # told by Ann\n    - {b: aside}\n",
    ),
    ("\n    - a\n    - {b: aside}  # told\n", "\n    - a\n    - new\n    - {b: aside}  # told\n"),
    ("\n  - a\n  -   b\n", "\n  - a\n  - new\n  -   b\n"),
]


@pytest.mark.parametrize(("order", "after"), ORDERS)
def test_an_entry_goes_before_another_and_nothing_else_moves(order, after):
    text = f"machine: X\ntaken_apart:\n  order: {order}\n  guessed: [a]   # end\n"
    editor = Editor(text=text)
    editor.insert("taken_apart/order", "new", {"b": "aside"} if "aside" in order else "b")
    assert editor.text == text.replace(order, after)
    editor.remove(("taken_apart", "order", 1))
    assert editor.text == text


def test_an_entry_goes_before_all_also_where_there_is_one_or_none():
    editor = Editor(text="machine: X\n")
    for one in ("c", "b", "a"):
        editor.insert("taken_apart/order", one, None)
    assert editor.value("taken_apart/order") == ["a", "b", "c"]
    short = Editor(text="machine: X\ntaken_apart:\n  order: c   # the first\n")
    short.insert("taken_apart/order", "b", None)
    assert short.text == "machine: X\ntaken_apart:\n  order: [b, c]   # the first\n"
    headed = Editor(text="order:\n  # as it came off\n  - b\n")
    headed.insert("order", "a", None)
    assert headed.text == "order:\n  # as it came off\n  - a\n  - b\n"


def test_a_line_in_brackets_that_gets_too_long_is_broken():
    names = [f"a-part-{number}" for number in range(30)]
    editor = Editor(text="machine: X\n")
    for one in reversed(names):
        editor.insert("taken_apart/order", one, None)
    assert editor.value("taken_apart/order") == names
    assert max(map(len, editor.text.splitlines())) <= 110


def test_what_a_mark_stands_for_is_written_out_where_an_entry_goes_between():
    editor = Editor(text=taken("order: [plug-<side>, guard]"))
    editor.insert("taken_apart/order", "cooler", "plug-right")
    assert editor.value("taken_apart/order") == ["plug-left", "cooler", "plug-right", "guard"]
    assert editor.read().faults == ()


@pytest.mark.parametrize(
    ("value", "before", "problem"),
    [("a", "b", "has this entry already"), ("c", "d", "has no such entry to go before")],
)
def test_what_can_t_go_anywhere_is_said(value, before, problem):
    editor = Editor(text="order: [a, b]\n")
    with pytest.raises(EditError, match=problem):
        editor.insert("order", value, before)
    assert not editor.changed
