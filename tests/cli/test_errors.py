"""Whatever is wrong, a person reads one message with its remedy, and nothing else is printed."""

import re

import pytest

PUMP = "examples/bench-pump.yaml"
HEAD = "machine: Test\nparts:\n"
BOLT = (
    HEAD
    + "  cover:\n    joints:\n      bolts: {kind: bolt, head: 13, thread: M8, class: 8.8, torque: 60 N.m}\n"
)


def refused(ran, *pieces):
    assert ran.code == 2
    assert ran.out == ""
    assert "Traceback" not in ran.err
    for piece in pieces:
        assert piece in ran.err


def test_a_missing_file_is_named_with_the_one_beside_it_that_is_spelt_alike(sequencer):
    refused(
        sequencer("plan", "examples/bench-pmp.yaml", "--off", "seal"),
        "examples/bench-pmp.yaml:1:1: there is no such file; did you mean bench-pump.yaml?",
    )


def test_a_folder_is_not_a_machine_file(sequencer):
    refused(sequencer("check", "examples"), "examples:1:1: this is a folder; give a machine file in it")


def test_bad_yaml_is_said_with_line_and_column(sequencer, write):
    path = write("machine: Test\nparts:\n  guard: [\n")
    ran = sequencer("plan", path, "--off", "guard")
    refused(ran, f"{path}:")
    assert re.search(r":\d+:\d+: .+; .+", ran.err)


def test_all_faults_of_a_file_are_said_at_once(sequencer):
    ran = sequencer("plan", "examples/guide/faulty.yaml", "--off", "guard")
    refused(ran)
    assert len(ran.err.splitlines()) == 3
    assert all(
        re.match(r"examples/guide/faulty\.yaml:\d+:\d+: .+; .+", line) for line in ran.err.splitlines()
    )


@pytest.mark.parametrize(
    ("arguments", "problem", "remedy"),
    [
        (["--off", "motr"], "has no part 'motr'", "did you mean motor?"),
        (
            ["--off", "motor/plug"],
            "--off motor/plug: motor/plug is a joint",
            "name the part that it holds: motor",
        ),
        (["--off", "motor=gone"], "there is no state 'gone'", "a part can be loose, aside, off"),
        (["--reach", "zzzz"], "--reach zzzz: ", "its parts are guard, belt"),
        ([], "nothing to take off was named", "add --off PART, --reach PART or --job NAME"),
    ],
)
@pytest.mark.parametrize("command", ["plan", "refit"])
def test_a_target_that_can_not_be_is_refused(sequencer, command, arguments, problem, remedy):
    refused(sequencer(command, PUMP, *arguments), problem, f"; {remedy}")


def test_an_unknown_unit_of_torque_is_refused_before_anything_is_planned(sequencer):
    refused(
        sequencer("refit", PUMP, "--off", "seal", "--torque-unit", "lbf.foot"),
        "not a unit of torque; did you mean lbf.ft?",
    )


def test_a_target_out_of_reach_is_explained_as_a_circle_line_by_line(sequencer):
    ran = sequencer("plan", "examples/guide/circle.yaml", "--off", "motor")
    refused(ran, "this can't be reached")
    links = re.findall(r"'(.+?)' waits for '(.+?)' because .+ \(examples/guide/circle\.yaml:\d+\)", ran.err)
    assert len(links) == 3
    assert [earlier for _, earlier in links] == [later for later, _ in links[1:] + links[:1]]


def test_check_warns_of_parts_that_can_never_come_off(sequencer):
    ran = sequencer("check", "examples/guide/circle.yaml")
    assert ran.code == 0
    assert re.match(r"examples/guide/circle\.yaml:\d+:\d+: warning: `guard` can never come off", ran.err)
    assert "(nor can 2 more)" in ran.err
    assert "; plan to take guard off, and the circle is shown" in ran.err
    assert "never come off" not in sequencer("check", "models/delivery-van.yaml").err


def test_a_state_that_would_open_the_circle_is_proposed(sequencer, write):
    path = write(
        HEAD
        + "  cover: {behind: [motor], joints: {bolts: {kind: bolt, head: 10}}}\n"
        + "  motor: {trapped_by: [cover], joints: {feet: {kind: nut, head: 13}}}\n"
    )
    refused(sequencer("plan", path, "--off", "cover"), "give it `loose`", "{motor: loose}", f"{path}:3")


def test_a_torque_beyond_proof_stops_every_command_that_reads_the_file(sequencer, write):
    path = write(BOLT)
    for command in (["check", path], ["plan", path, "--off", "cover"], ["refit", path, "--off", "cover"]):
        refused(sequencer(*command), f"{path}:5:", "cover/bolts", "177% of its proof load", "override")


def test_a_torque_beyond_proof_with_a_reason_is_shown_with_it(sequencer, write):
    path = write(BOLT.replace("60 N.m", "60 N.m, override: the drawing says so"))
    ran = sequencer("refit", path, "--off", "cover")
    assert ran.code == 0
    assert "beyond the fastener's proof load, intended: the drawing says so" in ran.out


def test_a_picture_needs_a_name_that_tells_its_kind(sequencer, tmp_path):
    ran = sequencer("draw", PUMP, "--off", "seal", "-o", tmp_path / "plan.jpg")
    refused(ran, "plan.jpg: can't tell the kind of file", "end the name in .svg, .png, .pdf or .dot")


def test_a_picture_needs_a_folder_that_is_there(sequencer, tmp_path):
    ran = sequencer("draw", PUMP, "--off", "seal", "-o", tmp_path / "nowhere" / "plan.svg")
    refused(
        ran, "plan.svg can't be written: No such file or directory; make the folder first, or name another"
    )
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["--why", "motor"], "--why asks about a job; add --off PART"),
        (
            ["--off", "guard", "--why", "seal"],
            "this job leaves Shaft seal alone; ask about a part that moves",
        ),
        (
            ["--off", "seal", "--why", "motr"],
            "--why motr: examples/bench-pump.yaml has no part 'motr'; did you",
        ),
    ],
)
def test_why_asks_about_a_part_that_the_job_moves(sequencer, tmp_path, arguments, message):
    refused(sequencer("draw", PUMP, *arguments, "-o", tmp_path / "why.svg"), message)


@pytest.mark.parametrize(
    "arguments",
    [
        [],
        ["plan"],
        ["plan", PUMP, "--prefer", "fun"],
        ["plan", PUMP, "--gap", "2"],
        ["draw", PUMP],
        ["dance"],
    ],
)
def test_a_slip_on_the_command_line_ends_with_2_and_names_it(sequencer, arguments):
    ran = sequencer(*arguments)
    assert ran.code == 2
    assert "Traceback" not in ran.err
    assert "Usage: sequencer" in ran.out + ran.err


def test_a_message_shows_control_characters_and_obeys_none(sequencer):
    ran = sequencer("check", "no\x1b[31m-such\u202e.yaml")
    refused(ran, r"no\x1b[31m-such\u202e.yaml")
    assert "\x1b" not in ran.err
    assert "\u202e" not in ran.err
