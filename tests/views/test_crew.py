"""How a schedule for several people is shown: chart, meetings, lists, picture."""

import io
import json
import xml.etree.ElementTree as ET
from functools import cache
from itertools import pairwise

import pytest
from rich.console import Console

from sequencer.document.plans.crew import schedule_document
from sequencer.document.plans.crew_bars import Doing, bars, clock, letters
from sequencer.plan.crew.crew import plan_schedule
from sequencer.render.data.plans.crew import schedule_json
from sequencer.render.pictures.crew import schedule_svg
from sequencer.render.terminal import show as render
from tests.plan.jobs import teardown
from tests.support.profile import before_landing

LIFT = """
machine: Two <b>benches</b> & one lift
positions:
  bench: {label: "At the [bold]bench", room: 2}
  behind: {label: Behind the bench}
tools: {bar: {label: Long bar, drive: none}}
pace: {walk: 30}
parts:
  lid: {time: 60, joints: {screws: {kind: bolt, tool: bar, time: 300}}}
  guard: {time: 60, from: behind, joints: {screws: {kind: bolt, tool: bar, time: 120}}}
  box:
    {label: "[red]Gearbox[/red]", people: 2, time: 120, weight: 60 kg, behind: [lid, guard],
     joints: {clip: {kind: clip, tool: hand, time: 15}}}
"""


@cache
def lift(people: int = 2):
    return plan_schedule(teardown(LIFT, [("off", "box")]), people)


def shown(width: int = 80, people: int = 2) -> str:
    out = io.StringIO()
    console = Console(file=out, width=width, highlight=False, markup=False, emoji=False)
    render(schedule_document(lift(people), width=width), console)
    return out.getvalue()


def test_the_headline_says_how_long_and_how_good():
    text = shown()
    assert "[red]Gearbox[/red] off: the way in, for 2 people" in text
    assert "Proven: 2 people can't do these steps in less time" in " ".join(text.split())


def test_a_lift_and_a_tool_that_changes_hands_are_meetings():
    text = shown()
    meetings = text.partition("When you meet")[2].partition("──")[0]
    assert "together: Take off [red]Gearbox[/red] (step 6)" in meetings
    assert "Long bar from" in meetings


def test_each_person_has_a_list_of_their_own_that_says_with_whom():
    _, a, b = shown().split("── ")[0:1] + shown().split("── ")[1:]
    assert a.startswith("A ──")
    assert b.startswith("B ──")
    assert "Take off [red]Gearbox[/red], together with B  (60 kg)" in a
    assert "Take off [red]Gearbox[/red], together with A  (60 kg)" in b
    assert "< " in a + b
    assert "> then " in a + b


@pytest.mark.parametrize("width", [50, 80, 100])
def test_no_line_is_wider_than_the_terminal_and_nothing_is_obeyed(width):
    text = shown(width)
    assert max(map(len, text.splitlines())) <= width
    assert "\x1b" not in text


def test_the_chart_has_a_letter_for_each_place_and_a_sign_for_what_is_no_work():
    rows = [line for line in shown().splitlines() if line.startswith(("A  ", "B  "))]
    assert len(rows) == 2
    cells = [row[3:] for row in rows]
    assert set("".join(cells)) <= set(letters(lift()).values()) | set("#-. ")
    assert all(row.rstrip().endswith("#") for row in cells)
    assert [c == "#" for c in cells[0]] == [c == "#" for c in cells[1]]


def test_a_person_has_no_hole_in_their_time():
    for person in range(2):
        done = bars(lift(), person)
        assert done[0].start == 0
        assert all(a.end == b.start for a, b in pairwise(done))
    assert {bar.doing for bar in bars(lift(), 0)} >= {Doing.WORK, Doing.TOGETHER, Doing.CHANGE}


def test_a_fourth_person_may_have_nothing_to_do():
    assert "Nothing to do: the others have all the work." in shown(people=4)


def test_the_picture_is_sound_and_tells_kinds_apart_by_pattern():
    root = ET.fromstring(schedule_svg(lift()))
    text = " ".join(root.itertext())
    assert "Two <b>benches</b> & one lift" in text
    fills = {node.get("fill") for node in root.iter("{http://www.w3.org/2000/svg}rect")}
    assert {"url(#dots)", "url(#hatch)", "#ffffff", "none"} <= fills
    assert "At the [bold]bench" in text


def test_the_json_says_who_waits_for_whom():
    data = schedule_json(lift())["schedule"]
    assert [turn["number"] for turn in data["turns"]] == [1, 2, 3, 4, 5, 6]
    assert data["turns"][-1]["people"] in (["A", "B"], ["B", "A"])
    assert {wait["for"] for turn in data["turns"] for wait in turn["waits"]} == {"tool", "work"}
    assert {(few["kind"], few["name"]) for few in data["few"]} == {("position", "behind"), ("tool", "bar")}
    length = max(turn["end"] for turn in data["turns"])
    for person in data["persons"]:
        spent = sum(visit["change_seconds"] + visit["wait_seconds"] for visit in person["visits"])
        numbers = [visit["turn"] for visit in person["visits"]]
        spent += sum(turn["end"] - turn["start"] for turn in data["turns"] if turn["number"] in numbers)
        assert spent == length  # both end with the lift


@pytest.mark.parametrize(("seconds", "told"), [(0, "0:00"), (59, "0:00"), (60, "0:01"), (3900, "1:05")])
def test_a_moment_is_hours_and_minutes(seconds, told):
    assert clock(seconds) == told


@before_landing
@pytest.mark.parametrize("name", ["[bold]x[/bold]", "<b>bold</b> & <i>", "]]>", "מנוע קל", "🚗 🛠️", "w" * 120])
def test_odd_labels_come_out_as_what_they_are(name):
    label = json.dumps(name, ensure_ascii=False)
    text = (
        LIFT.replace('"[red]Gearbox[/red]"', label)
        .replace("Behind the bench", label)
        .replace("Long bar", label)
    )
    schedule = plan_schedule(teardown(text, [("off", "box")]), 2)
    out = io.StringIO()
    console = Console(file=out, width=80, highlight=False, markup=False, emoji=False)
    render(schedule_document(schedule, width=80), console)
    assert name in out.getvalue() or len(name) > 80
    assert name in " ".join(ET.fromstring(schedule_svg(schedule)).itertext())
