"""Looks, and what to check before a lift, as text and as JSON."""

import json
import re
from io import StringIO
from pathlib import Path

import pytest
from rich.console import Console

from sequencer.document.plans.looks import looks_document
from sequencer.document.plans.plan import teardown_document
from sequencer.graph.targets import parse_targets
from sequencer.machine.reading import load, read_text
from sequencer.plan.looks.looks import Count, look_first
from sequencer.plan.looks.looks_kinds import kind_names
from sequencer.plan.teardown import plan_teardown
from sequencer.render.data.plans.looks import looks_json
from sequencer.render.data.plans.plan import teardown_json
from sequencer.render.terminal import show as render
from tests.support.profile import before_landing
from tests.support.some import some

ROOT = Path(__file__).resolve().parent.parent.parent
NOTHING_HELD = {kind: Count(1000, 0) for kind in kind_names()}


def shown(show, what, width=80):
    stream = StringIO()
    render(show(what), Console(file=stream, width=width, highlight=False, markup=False, emoji=False))
    return stream.getvalue()


@pytest.fixture(scope="module")
def van():
    machine = load(ROOT / "models" / "delivery-van.yaml")
    return look_first(plan_teardown(machine, parse_targets(machine, ["head"])))


@pytest.fixture(scope="module")
def text(van):
    return shown(looks_document, van)


def words(text):
    return " ".join(text.split())


@before_landing
def test_without_looks_and_checks_the_text_is_that_of_the_plan(van, text):
    plain = [one for one in shown(teardown_document, van.plan).splitlines() if not re.match(r"A\d+ ", one)]
    lines = iter(text.splitlines())
    assert all(line in lines for line in plain), "every line of the plan is there, in its order"


@before_landing
def test_the_looks_are_counted_at_the_head_and_marked_as_looks(van, text):
    assert re.search(
        r"Look first: \d+ looks, \d+ min on top of the plan; on average they save \d+ min\.", text
    )
    numbers = [int(n) for n in re.findall(r"^ *L(\d+)  Look at ", text, re.MULTILINE)]
    assert numbers == list(range(1, len(van.looks) + 1))
    assert text.index("Take the battery negative off") < text.index(" L1  Look at")


@before_landing
def test_a_look_that_has_to_wait_stands_right_before_the_step_that_goes_there(van, text):
    late = [one for one in van.rounds if one.after > 1]
    assert late
    for one in late:
        number = van.looks.index(one.looks[0]) + 1
        before, after = (text.index(f"\n{step:>4}  ") for step in (one.after, one.after + 1))
        assert before < text.index(f"{f'L{number}':>4}  Look at") < after


@before_landing
def test_every_lift_that_leaves_something_open_says_so_under_its_step(van, text):
    said = re.findall(r"^ {6}before you pull: ", text, re.MULTILINE)
    assert len(said) == len(van.lifts)
    step = next(step for step in van.plan.steps if step.operation.name == "remove head")
    assert "before you pull: hidden bolts" in words(text.split(f"\n{step.number:>4}  ")[1])


@before_landing
def test_all_that_nobody_looked_at_is_named_with_file_and_line(van, text):
    for look in some(van.unseen):
        assert f"(delivery-van.yaml:{look.place.line})" in text


@before_landing
def test_the_judgement_is_called_what_it_is_and_the_caution_is_there(text):
    assert "chances by kind of part: our own judgement, common practice" in text
    assert "! Engine off and cold, key out." in text


@before_landing
@pytest.mark.parametrize("width", [100, 80, 60, 40])
def test_no_line_is_wider_than_the_screen_or_ends_in_blanks(van, width):
    for line in shown(looks_document, van, width).splitlines():
        assert len(line) <= width
        assert line == line.rstrip()


@before_landing
def test_where_no_look_is_worth_it_that_is_said_and_the_rest_is_listed(van):
    said = shown(looks_document, look_first(van.plan, NOTHING_HELD))
    assert "by the chances, no look is worth its time" in said
    assert "chances by kind of part: your own record" in said
    assert "Look at" not in said
    assert "Cylinder head  (delivery-van.yaml:" in said


def test_a_plan_of_parts_that_were_all_seen_says_so():
    machine = read_text(
        "machine: M\npositions: {here: {}}\n"
        "parts:\n  lid:\n    seen: [all round]\n    joints: {clip: {kind: clip}}\n"
    ).machine
    found = look_first(plan_teardown(machine, parse_targets(machine, ["lid"])))
    said = shown(looks_document, found)
    assert "Look first: every part of this plan has been looked at." in said
    assert "never looked at" not in said
    assert "before you pull" not in said


def test_names_from_the_file_come_out_as_text():
    odd = "[bold]Lid[/bold] \u202eover"
    machine = read_text(
        "machine: M\npositions: {here: {label: In front}}\nparts:\n"
        f'  lid:\n    label: "{odd}"\n    weight: 12 kg\n    seen: [front]\n'
        "    joints: {bolt: {kind: bolt, head: 13}}\n"
    ).machine
    said = shown(looks_document, look_first(plan_teardown(machine, parse_targets(machine, ["lid"]))))
    assert "Look first" in said
    assert "[bold]Lid[/bold] over" in said
    assert "not seen from back" in said
    assert "\u202e" not in said


@before_landing
def test_json_has_the_looks_beside_a_plan_whose_own_keys_stay(van):
    plain = teardown_json(van.plan)
    data = looks_json(van)
    assert {key: data[key] for key in plain} == plain
    json.dumps(data)
    assert [look["part"] for look in data["looks"]] == [look.part for look in van.looks]
    assert len(data["looks"]) + len(data["unseen"]) == len(van.unseen)
    assert data["looks_totals"]["seconds"] == float(van.seconds)
    assert data["looks_totals"]["saves_seconds"] == pytest.approx(
        sum(
            look["chance"] * look["sees"] * (look["late_seconds"] - look["early_seconds"])
            for look in data["looks"]
        )
    )
    lifts = {step["number"] for step in plain["steps"] if step["kind"] in ("remove", "move-aside")}
    assert {item["step"] for item in data["before_you_pull"]} <= lifts
    reasons = [check["says"] for item in data["before_you_pull"] for check in item["checks"]]
    assert all(": " in reason for reason in reasons)
