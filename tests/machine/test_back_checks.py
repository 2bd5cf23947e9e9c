"""Tasks of the way back alone: what they can't say, and what can't be said of them, each at its line."""

import pytest

from tests.machine.texts import faults, machine
from tests.support.home_cooler import COOLER


def test_it_has_no_fault_and_its_behind_is_told_apart():
    assert faults(COOLER) == []
    bleed, run = (machine(COOLER).tasks[name] for name in ("bleed", "run"))
    assert (bleed.only_back, bleed.filled, [str(need) for need in bleed.under("behind")]) == (
        True,
        ("coolant",),
        ["cap"],
    )
    assert (run.filled, run.undone, run.under("behind"), run.back_before) == (
        ("coolant",),
        ("isolate",),
        (),
        ("cover",),
    )


def test_what_it_says_without_a_way_is_for_the_way_back():
    notes = machine(COOLER).tasks["bleed"].notes
    assert (notes.on(back=False), notes.on(back=True)) == ((), ("Cap off",))


@pytest.mark.parametrize(
    ("old", "new", "line", "said"),
    [
        ("only: back, label", "only: in, label", 12, "'in' is no way that a task can be of alone"),
        ("label: Bleed it", "before: [hose]", 12, "`bleed` is done on the way back alone, without `before`"),
        ("label: Bleed it", "undo: {}", 12, "`bleed` is done on the way back alone, without `undo`"),
        ("[coolant, cap]", "[coolant, cup]", 12, "no part, fluid or task `cup`; did you mean `cap`?"),
        ("[coolant, cap]", "[coolant, raise]", 12, "`raise` is undone before `bleed`, which is done while"),
        ("fill: {time: 60 s}", "fill: none", 12, "`coolant` is not filled again, so `bleed`"),
        ("undo: {time: 20 s}", "people: 2", 13, "`isolate` has no `undo`, so `run`"),
        ("back_before: [cover]", "back_before: [lid]", 13, "there is no part `lid`"),
        ("first: [isolate]", "first: [isolate, run]", 3, "`run` is done on the way back alone (only: back)"),
        ("needs: [raise]", "needs: [run]", 6, "`run` is done on the way back alone (only: back)"),
        ("raise: {", "raise: {after: [bleed], ", 11, "`bleed` is done on the way back alone (only: back)"),
        ("hose: {", "hose: {needs: [run], ", 17, "`run` is done on the way back alone (only: back)"),
        ("behind: [coolant, cap]", "behind: [coolant, run]", 13, "these wait for one another: `bleed`"),
        ("raise: {", "raise: {back_before: [cap], ", 0, ""),
        ("isolate: {", "isolate: {back_before: [cap], ", 10, "`isolate` is undone last of all"),
        ("undo: {time: 60 s}", "back_before: [cap]", 11, "`raise` is not done on the way back"),
        (
            "behind: [coolant, isolate], back_before: [cover]",
            "people: 1",
            13,
            "nothing calls for `run`, so it is never done",
        ),
    ],
)  # fmt: skip
def test_each_fault_is_said_at_its_line(old, new, line, said):
    assert old in COOLER
    found = faults(COOLER.replace(old, new))
    assert any(one.startswith(f"{line}:") and said in one for one in found) is bool(said), found
    assert bool(found) is bool(said)
