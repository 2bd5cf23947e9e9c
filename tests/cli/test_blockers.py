"""``blockers`` and ``extras`` as a person runs them."""

import json

from tests.support.profile import before_landing

PUMP = "tests/machines/bench-pump.yaml"


def test_what_is_in_the_way_is_told_with_the_line_that_says_so(sequencer):
    ran = sequencer("blockers", PUMP, "--off", "seal")
    assert (ran.code, ran.err) == (0, "")
    assert "Shaft seal off: what is in the way" in ran.out
    assert "└── Drive belt off 40 s: before Pump pulley can come away (bench-pump.yaml:68)" in ran.out
    assert all(line == line.rstrip() for line in ran.out.splitlines())


@before_landing
def test_one_part_less_and_every_part_less_say_the_same(sequencer):
    one = json.loads(sequencer("blockers", PUMP, "--off", "seal", "--without", "bracket", "--json").out)
    every = json.loads(sequencer("blockers", PUMP, "--off", "seal", "--price-all", "--json").out)
    (bracket,) = one["need_not_move"]
    assert bracket in every["need_not_move"]
    assert bracket["need_not_move_either"] == ["motor"]
    saves = [saved["saves_seconds"] for saved in every["need_not_move"]]
    assert saves == sorted(saves, reverse=True)
    assert {thing["name"] for thing in every["things"] if thing["is_part"] and thing["under"]} == {
        saved["part"] for saved in every["need_not_move"]
    }


@before_landing
def test_the_list_of_what_is_worth_a_tool_has_the_most_first(sequencer):
    lines = sequencer("blockers", PUMP, "--off", "seal", "--price-all").out.splitlines()
    start = next(n for n, line in enumerate(lines) if line.startswith("Worth a tool"))
    assert lines[start + 1].split("  ")[1:] == [
        "12 min",
        "",
        "",
        "",
        "Impeller; Pump cover, Bracket over the pump cover and 3 more then stay too",
    ]


def test_why_tells_the_shortest_reason_and_what_binds(sequencer):
    ran = sequencer("blockers", PUMP, "--off", "seal", "--why", "belt")
    assert "The shortest reason" in ran.out
    assert "Take off Pump pulley waits for: Take off Drive belt" in ran.out
    assert "Without this one relation" in " ".join(ran.out.split())
    told = json.loads(sequencer("blockers", PUMP, "--off", "seal", "--why", "belt", "--json").out)
    assert told["why"]["part"] == "belt"
    assert told["why"]["shortest"][-1]["waits_for"] == "remove belt"


def test_a_part_that_the_job_leaves_alone_has_no_reason_and_saves_nothing(sequencer):
    ran = sequencer("blockers", PUMP, "--off", "guard", "--why", "motor")
    assert ran.code == 2
    assert "this job leaves Motor alone" in ran.err
    assert "nothing to save" in sequencer("blockers", PUMP, "--off", "guard", "--without", "motor").out


def test_the_target_itself_can_not_stay(sequencer):
    ran = sequencer("blockers", PUMP, "--off", "seal", "--without", "seal")
    assert (ran.code, ran.out) == (2, "")
    assert "seal is what the job is for: it has to move" in ran.err


def test_a_slip_in_a_name_is_answered_with_the_nearest(sequencer):
    for option in ("--why", "--without"):
        ran = sequencer("blockers", PUMP, "--off", "seal", option, "moter")
        assert ran.code == 2
        assert f"{option} moter" in ran.err
        assert "did you mean motor?" in ran.err


def test_a_target_that_is_clear_needs_nothing_moved(sequencer):
    assert "Nothing has to move" in sequencer("blockers", PUMP, "--reach", "guard").out


def test_a_target_that_is_only_reached_stands_above_what_hides_it(sequencer):
    ran = sequencer("blockers", PUMP, "--reach", "pulley")
    assert "Pump pulley within reach" in ran.out
    assert "Belt guard off 58 s: before Pump pulley can be reached" in ran.out


@before_landing
def test_extras_say_what_is_worth_doing_now(sequencer):
    ran = sequencer("extras", PUMP, "--off", "seal")
    assert (ran.code, ran.err) == (0, "")
    assert "another day): Drive belt 11.00" in ran.out
    assert "* worth doing while you are in there" in ran.out


@before_landing
def test_extras_as_json_are_those_of_the_text_in_the_same_order(sequencer, monkeypatch):
    monkeypatch.setattr("sequencer.plan.prices.prices_many.SMALL", 0)  # shared among processes
    told = json.loads(sequencer("extras", PUMP, "--off", "seal", "--json").out)
    outlet = next(extra for extra in told["extras"] if extra["part"] == "outlet-pipe")
    assert (outlet["now_seconds"], outlet["worth_doing"], outlet["price"]) == (10, True, 0.8)
    shares = [extra["share_saved"] for extra in told["extras"]]
    assert shares == sorted(shares, reverse=True)


SHUT = """
machine: Shut
positions: {bench: }
parts:
  lid: {joints: {a: {kind: clip, tool: hand, time: 5}}}
  a: {behind: [b], joints: {a: {kind: clip, tool: hand, time: 5}}}
  b: {behind: [a], joints: {a: {kind: clip, tool: hand, time: 5}}}
"""


def test_an_extra_that_can_never_come_off_is_said_to_be_impossible(sequencer, write):
    ran = sequencer("extras", write(SHUT), "--off", "lid")
    assert ran.out.count("not possible") == 2


NARROW = """
machine: "Narrow [bold]"
positions: {bench: {label: "Bench [blink]"}}
parts:
  lid: {label: "Lid [red]x", joints: {a: {kind: clip, tool: hand, time: 5}}}
  box: {label: "Box\\nof two lines", behind: [lid], joints: {a: {kind: clip, tool: hand, time: 5}}}
  bag: {label: "\\u202eBag", renew: [{item: "[b]String"}], joints: {a: {kind: clip, tool: hand, time: 5}}}
"""


def test_names_are_shown_as_text_and_obeyed_by_no_terminal(sequencer, write, monkeypatch):
    file = write(NARROW)
    monkeypatch.setenv("COLUMNS", "60")
    for command in ("blockers", "extras"):
        ran = sequencer(command, file, "--off", "box")
        out = ran.out
        assert ran.err == ""
        assert "Lid [red]x" in out
        assert "Box of two lines" in out
        assert not {"\x1b", "\u202e"} & set(out)
    assert "[b]String" in sequencer("extras", file, "--off", "box").out.replace("\n", "").replace(" ", "")
