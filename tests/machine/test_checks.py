"""Each fault of meaning: its place, its sentence, its remedy."""

import pytest

from tests.machine.texts import faults, faults_of_part
from tests.support.profile import before_landing


def marked(line: str) -> tuple[str, str]:
    """A line without its mark », and the place where that stood, as a fault says it."""
    return f"1:{line.index('»') + 1}", line.replace("»", "")


CLIP = "joints: {a: {kind: clip}}"
ONE_PART = "parts: {a: {joints: {b: {kind: clip}}}}\n"


@pytest.mark.parametrize(
    ("behind", "fault"),
    [
        ("[gaurd]", "there is no part `gaurd`; did you mean `guard`?"),
        ("[zzz]", "there is no part `zzz`; known here: guard, motor, x"),
        ("gaurd", "there is no part `gaurd`; did you mean `guard`?"),
        ("[plug]", "there is no part `plug`; did you mean the joint `motor/plug`?"),
        ("[prop]", "there is no part `prop`; it is a task; write it under `needs`"),
        ("[motor/plgu]", "`motor` has no joint `plgu`; did you mean `plug`?"),
        ("[moter/plug]", "there is no part `moter`; did you mean `motor`?"),
        ("[{motor: lose}]", "`motor` is asked to be `lose`, which is not a state; did you mean `loose`?"),
        (
            "[{motor: gone}]",
            "`motor` is asked to be `gone`, which is not a state; the states are loose, aside, off",
        ),
        (
            "[{motor: }]",
            "`motor` is asked to be nothing, which is not a state; the states are loose, aside, off",
        ),
        ("[{moter: loose}]", "there is no part `moter`; did you mean `motor`?"),
        ("[{any: [guard, moter]}]", "there is no part `moter`; did you mean `motor`?"),
        ("[{any: []}]", "`any` of nothing can never be met; list what would do, or take it out"),
        ("[{any: }]", "`any` of nothing can never be met; list what would do, or take it out"),
        (
            "[{motor: fitted}]",
            "every part is at least `fitted`: this asks for nothing; write loose, aside or off",
        ),
        ("[{loose: motor}]", "`loose` is a state and not a part; write {motor: loose}"),
        ("[motor=loose]", "`motor=loose` is not a name; write {motor: loose}"),
        ("[{motor/plug: off}]", "`motor/plug` is a joint, which has no states; write motor/plug alone"),
        (
            "[{motor: loose, guard: off}]",
            (
                "one entry asks for two things; write one entry each: [{motor: loose}, {guard: off}], "
                "or {any: [...]} for one of them"
            ),
        ),
        ("[[motor, guard]]", "there is a list inside the list; write {any: [...]} for one of several"),
        (
            "[{}]",
            "there is an empty entry; write a part, a joint (motor/plug), {motor: loose} or {any: [...]}",
        ),
        (
            "[motor/plug/x]",
            (
                "`motor/plug/x` is neither a part nor a joint; "
                "write a part, a joint (motor/plug), {motor: loose} or {any: [...]}"
            ),
        ),
        ("[x]", "`x` is behind itself; name what is really in the way, or take it out"),
        ("[{x: off}]", "`x` is behind itself; name what is really in the way, or take it out"),
        (
            "[x/a]",
            "`x` is behind `x/a`, which waits for it in turn; name what is really in the way, or take it out",
        ),
        ("[guard, guard]", "warning: this is in the list twice; take one out"),
        ("[{any: [x, guard]}]", "warning: this way never opens: `x` is behind itself; take it out"),
    ],
)
def test_what_is_in_the_way_must_be_there_and_can_not_be_the_part_itself(behind, fault):
    (said,) = faults_of_part(f"x: {{{CLIP}, behind: {behind}}}")
    assert said.split(": ", 1)[1] == fault
    assert said.startswith("1:")


@pytest.mark.parametrize(
    ("keys", "fault"),
    [
        ("tool: »long-bra", "there is no tool `long-bra`; did you mean `long-bar`?"),
        ("from: »udner", "there is no position `udner`; did you mean `under`?"),
        ("wet: [»oli]", "there is no fluid `oli`; did you mean `oil`?"),
        ("wet: »petrol", "there is no fluid `petrol`; known here: oil"),
        ("needs: [»porp]", "there is no task `porp`; did you mean `prop`?"),
        ("needs: »guard", "there is no task `guard`; it is a part; known here: prop"),
        ("needs: [»[a]]", "a name or text is wanted here, and this is a list; write one, or take it out"),
        ("needs: [prop, »prop]", "warning: `prop` is in this list twice; take one out"),
        ("behind: [»x]", "`x/a` is behind `x`, which waits for it in turn; "),
        ("behind: [»x/a]", "`x/a` is behind itself; "),
        ("engagement: »5 kg", "5 kg is a weight; a length is wanted; write it like 12 mm or 1/2 in"),
        (
            "at: »[[0, 0], [1]]",
            "a place has two numbers, x and y; write one [x, y] in mm for each fastener: ",
        ),
        ("at: »here", "a list of places is wanted here, and this is the text 'here'; write one [x, y] in mm"),
        (
            "count: 3, »at: [[0, 0], [1, 2]]",
            "warning: there are 2 places, and the count is 3; make them agree",
        ),
        ("»sealant: {cure: 2 h}", "a sealant needs `kind`; write kind: rtv"),
        ("sealant: {kind: rtv, cure: »2 kg}", "2 kg is a weight; a time is wanted; write it like 90 s"),
        ("count: »0", "a count of 0 holds nothing; write how many there are, "),
        ("count: »-2", "'-2' is not a count; write a whole number: 4"),
        ("count: »2.5", "'2.5' is not a count; write a whole number: 4"),
        ("count: »100000", "100000 of them can't be meant; write a count of at most 9999"),
        ("time: »-3 s", "-3 s is less than nothing; leave the minus out, "),
        ("time: »12:30", "'12:30' is not a time; write it like 90 s, 5 min or 1 h 30 min"),
        ("time: »5 kg", "5 kg is a weight; a time is wanted; write it like 90 s"),
        ("time: »2000 h", "2000 h is longer than any job; a number alone is in seconds; "),
        (
            "time: 3 s, »each: 2 s",
            "warning: there is a time for the whole, and one for each; the time for the whole is used",
        ),
        ("crack: {while: [»x]}", "`x` can't hold its own joint; name the parts that hold it meanwhile"),
        ("crack: {while: [»gaurd]}", "there is no part `gaurd`; did you mean `guard`?"),
        ("»crack: {while: []}", "no part holds it while it is cracked; write while: [belt]"),
        ("»crack: {time: 3 s}", "a crack needs `while`; write while: [belt]"),
        (
            "behind: [guard], »crack: {while: [guard]}",
            (
                "warning: `x/a` can't be cracked while `guard` holds it: it is behind `guard` (line 11); "
                "take one of the two out, or write `trapped_by` for what only keeps the part on"
            ),
        ),
    ],
)
def test_what_a_joint_says_must_hold_together(keys, fault):
    place, line = marked(f"x: {{joints: {{a: {{{keys}, kind: clip}}}}}}")
    (found,) = faults_of_part(line)
    assert found.startswith(f"{place}: {fault}")


@pytest.mark.parametrize(
    ("keys", "fault"),
    [
        ("kind: bolt, head: T26", "no tool fits a head `T26`; the nearest that are made are T25, T27, T30"),
        (
            "kind: bolt, head: M8",
            "`M8` is a thread, and a head is wanted; write thread: M8, and the across-flats size as head",
        ),
        (
            "kind: bolt, head: round",
            "no tool fits a head `round`; write it like 10, 5.5 mm, 1/2 in, T25, E10, ",
        ),
        (
            "kind: blot, head: 10",
            "warning: `blot` is not a kind of joint that is known here; did you mean `bolt`?",
        ),
        (
            "kind: fitting, head: 17",
            "warning: `fitting` is not a kind of joint that is known here; did you mean `union`?",
        ),
        (
            "kind: zorp",
            "warning: `zorp` is not a kind of joint that is known here; it is taken as a fastener",
        ),
        ("head: 10", "warning: the joint has no kind; write kind: bolt, nut, screw, connector, clip …"),
        ("kind: bolt", "warning: nothing tells its tool, so it is undone by hand; write head: 13, or tool:"),
        (
            "kind: ring",
            "warning: nothing tells its tool, so it is undone by hand; name its tool under `tools` and write",
        ),
    ],
)
def test_kind_and_head_tell_the_tool_or_a_fault_says_why_not(keys, fault):
    (found,) = faults_of_part(f"x: {{joints: {{a: {{{keys}}}}}}}")
    assert found.split(": ", 1)[1].startswith(fault)


@pytest.mark.parametrize(
    ("keys", "fault"),
    [
        ("torque: 47", "47 has no unit; a torque needs one; write 47 N.m or 47 lbf.ft, whichever is meant"),
        ("torque: 35 psi", "35 psi is a pressure; a torque is wanted; write it like 47 N.m or 35 lbf.ft"),
        ("stages: [20, 40 N.m]", "20 has no unit; a torque needs one; "),
        ("stages: []", "there are no stages; write stages: [20 N.m, 90 deg]"),
        (
            "torque: {value: 9 N.m, pattern: spirla}",
            "`spirla` is not a tightening pattern; did you mean `spiral`?",
        ),
        (
            "torque: 9 N.m, pattern: star",
            "`star` is not a tightening pattern; known here: spiral, cross, line",
        ),
        ("torque: 9 N.m, stages: [3 N.m]", "there is one torque, and stages as well; keep one of them"),
        (
            "torque: {value: 9 N.m, source: a}, source: b",
            "`source` is under `torque` and beside it; keep one",
        ),
        (
            "torque: {pattern: cross}",
            "nothing says how tight; write torque: with a value and its unit, 47 N.m",
        ),
        (
            "pattern: cross",
            "warning: nothing says how tight; write torque: with a value and its unit, 47 N.m",
        ),
        ("torque: 9 N.m, override: ok", "an override needs its reason; say why this torque is meant"),
        ("torque: 9 N.m, override: ' '", "an override needs its reason; say why this torque is meant"),
        (
            "torque: 9 N.m, count: 3, order: [1, 2]",
            "warning: the order names 2, and the count is 3; make them",
        ),
        (
            "torque: 9 N.m, count: 2, order: [1, 2], pattern: cross",
            "warning: there is an order, and a pattern as well; the order holds",
        ),
        ("torque: {value: 9 N.m, prevailing: 3}", "3 has no unit; a torque needs one; write 3 N.m"),
        ("torque: {value: 9 N.m, prevailing: 90 deg}", "90 deg is an angle; a torque is wanted"),
        ("torque: {by_hand: soft, prevailing: 3 N.m}", "no torque is there to add it to; write value: 25"),
        (
            "torque: {stages: [3 N.m, 9 N.m], prevailing: 3 N.m}",
            "warning: the nut drags with 3 N.m, and clamps with no more than that: 3 N.m; check both figures",
        ),
        ("torque: {valeu: 9 N.m}", "`valeu` is not a key of a torque; did you mean `value`?"),
    ],
)
def test_a_tightening_must_say_one_thing_with_its_unit(keys, fault):
    found = faults_of_part(f"x: {{joints: {{a: {{kind: bolt, head: 10, {keys}}}}}}}")
    assert [said.split(": ", 1)[1][: len(fault)] for said in found] == [fault]


@before_landing
@pytest.mark.parametrize(
    ("keys", "fault"),
    [
        ("weight: »14", "14 has no unit; a weight needs one; write it like 14 kg, 800 g or 30 lb"),
        ("weight: »5 N.m", "5 N.m is a torque; a weight is wanted; write it like 14 kg, 800 g or 30 lb"),
        ("from: »udner", "there is no position `udner`; did you mean `under`?"),
        ("loose: {joints: [»b]}", "`x` has no joint `b`; known here: a"),
        ("aside: {joints: [»motor/feet]}", "`x` has no joint `motor/feet`; known here: a"),
        ("trapped_by: [»x]", "`x` is trapped by itself; name what is really in the way, or take it out"),
        ("renew: [»{count: 2}]", "a part to renew needs `item`; write item: Gasket"),
        ("renew: [{item: A, price: »much}]", "'much' is not a price; write a number, with a point before"),
        ("label: »[a, b]", "a text is wanted here, and this is a list; write one text"),
        ("»behnd: [guard]", "`behnd` is not a key of a part; did you mean `behind`?"),
        ("»position: under", "`position` is not a key of a part; did you mean `from`?"),
        ("»zorp: 1", "`zorp` is not a key of a part; a part has label, subsystem, from, time, weight, "),
        ("»weight: ", "warning: `weight` has nothing after it; fill it in, or take it out"),
        (
            "label: Left side, »standing",
            (
                "the comma in Left side, standing ends the text and begins a key without a value; "
                'put the text in quotes: label: "Left side, standing"'
            ),
        ),
        (
            "caution: [Hot, »[a]]",
            "a name or text is wanted here, and this is a list; write one, or take it out",
        ),
    ],
)
def test_a_part_says_what_is_wrong_with_it_and_where(keys, fault):
    place, line = marked(f"x: {{{keys}, {CLIP}}}")
    (found,) = faults_of_part(line)
    assert found.startswith(f"{place}: {fault}")


def test_a_part_that_nothing_holds_is_a_warning():
    assert faults_of_part("x: {}", "y:", "z: {joints: }") == [
        f"{line}:1: warning: nothing holds `{name}`: it has no joints; add them under joints"
        for line, name in ((1, "x"), (2, "y"), (3, "z"))
    ]


def test_a_joint_may_wait_for_a_state_of_its_own_part_that_leaves_it_alone():
    assert (
        faults_of_part(
            "x: {joints: {a: {kind: clip, behind: [{x: loose}]}, b: {kind: clip}}, loose: {joints: [b]}}"
        )
        == []
    )
    (found,) = faults_of_part("x: {joints: {a: {kind: clip, behind: [{x: loose}]}}, loose: {joints: [a]}}")
    assert found.startswith("1:39: `x/a` is behind `{x: loose}`, which waits for it in turn; ")
    assert faults_of_part(f"x: {{{CLIP}, loose: , trapped_by: [{{x: loose}}]}}") == []


def test_names_that_could_not_be_told_apart_later_are_refused():
    found = faults_of_part(
        "a/b: {joints: {c: {kind: clip}}}",
        "any: {joints: {'x=y': {kind: clip}}}",
        "'': {joints: {c: {kind: clip}}}",
    )
    rule = "names are words without / and =, and without blanks at the ends"
    assert found == [
        f"1:1: `a/b` can't be a name; {rule}",
        "2:1: a part can't be called `any`; give it another name",
        f"2:16: `x=y` can't be a name; {rule}",
        f"3:1: the name is missing; {rule}",
    ]


def test_a_part_given_twice_is_said_with_both_lines():
    assert faults_of_part(f"x: {{{CLIP}}}", f"x: {{{CLIP}}}") == [
        (
            "2:1: `x` is here a second time; the first is in line 11; "
            "keep one of them, or give this one another name"
        )
    ]


def test_what_is_written_as_something_else_is_said_plainly():
    assert faults_of_part("x: {joints: [a, b]}", "y: foo", "z: {joints: {a: clip}}") == [
        "1:13: `joints` wants names with a colon, and this is a list; write each as name: {...}",
        (
            "2:4: a part has keys under it, and this is the text 'foo'; "
            "write label, subsystem, from, time … under it"
        ),
        (
            "3:17: a joint has keys under it, and this is the text 'clip'; "
            "write kind, label, head, tool … under it"
        ),
    ]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("", ["1:1: the file is empty; begin it with machine: and the machine's name"]),
        ("# a remark\n", ["1:1: the file is empty; begin it with machine: and the machine's name"]),
        (
            "- a\n",
            ["1:1: the file is a list, and keys are wanted; begin it with machine: and the machine's name"],
        ),
        (
            "hi",
            [
                (
                    "1:1: the file is the text 'hi', and keys are wanted; "
                    "begin it with machine: and the machine's name"
                )
            ],
        ),
        (ONE_PART, ["1:1: a machine file needs `machine`; write machine: Bench pump"]),
        ("machine: x\n", ["1:1: a machine file needs `parts`; write parts: and the parts under it"]),
        ("machine: x\nparts: {}\n", ["2:1: the machine has no parts; write at least one under parts"]),
        ("machine: x\nparts:\n", ["2:1: the machine has no parts; write at least one under parts"]),
        (
            "machin: x\npart: {}\n",
            [
                "1:1: `machin` is not a key of a machine file; did you mean `machine`?",
                "2:1: `part` is not a key of a machine file; did you mean `parts`?",
            ],
        ),
        (
            "machine: x\nstart: bnech\npositions: {bench: }\nfirst: [isolat]\ntasks: {isolate: }\n"
            + ONE_PART,
            [
                "2:8: there is no position `bnech`; did you mean `bench`?",
                "4:9: there is no task `isolat`; did you mean `isolate`?",
            ],
        ),
        (
            "machine: x\nstart: bench\n" + ONE_PART,
            ["2:8: there is no position `bench`; add it under positions"],
        ),
        (
            "machine: x\ntools: {hand: {drive: x}}\n" + ONE_PART,
            ["2:9: `hand` is there without being declared; take it out"],
        ),
        (
            "machine: x\npace: {pickup: 3 s, walk: far}\n" + ONE_PART,
            [
                "2:8: `pickup` is not a key of the pace; did you mean `pick_up`?",
                "2:27: 'far' is not a time; write it like 90 s, 5 min or 1 h 30 min",
            ],
        ),
        (
            "machine: x\nfluids: {o: {volume: 3 kg, drain: {tool: spoon}}}\n" + ONE_PART,
            [
                "2:22: 3 kg is a weight; a volume is wanted; write it like 1.2 L, 500 ml or 5 qt",
                "2:42: there is no tool `spoon`; add it under tools, or write a head: 13, T25, allen 6",
            ],
        ),
    ],
)
def test_the_top_of_a_file_says_what_is_wrong_with_it(text, expected):
    assert faults(text) == expected


def test_a_walk_is_two_positions_and_one_time():
    walks = [
        "[a, b, 3 s]",
        "[b, a, 3 s]",
        "[a, b, 4 s]",
        "[a, a, 2 s]",
        "[a, d, 2 s]",
        "[a, b]",
        "[a, c, 2 kg]",
        "far",
    ]
    text = (
        "machine: x\npositions: {a: , b: , c: }\nwalks:\n"
        + "".join(f"- {walk}\n" for walk in walks)
        + ONE_PART
    )
    assert faults(text) == [
        "5:3: warning: this walk is there already, in line 4; keep one of them; a walk holds both ways",
        (
            "6:3: this walk is there already, in line 4, with another time; keep one of them; "
            "a walk holds both ways"
        ),
        "7:3: this walk begins and ends at `a`; name two positions",
        "8:7: there is no position `d`; known here: a, b, c",
        "9:3: a walk is two positions and a time, and this is a list of 2; write [bench, under, 15 s]",
        "10:10: 2 kg is a weight; a time is wanted; write it like 90 s, 5 min or 1 h 30 min",
        "11:3: a walk is two positions and a time, and this is the text 'far'; write [bench, under, 15 s]",
    ]


def test_a_task_must_come_before_what_there_is_and_can_not_wait_for_it():
    tasks = "machine: x\ntasks:\n  t: {behind: [a], before: [a/b]}\n  u: {before: [{a: loose}, zz, a/q]}\n"
    assert faults(tasks + ONE_PART) == [
        (
            "3:16: warning: `t` is behind `a`, which waits for it in turn; "
            "name what is really in the way, or take it out"
        ),
        "4:16: `before` takes parts and joints; write their names alone: [motor, pulley/bolts]",
        "4:28: there is no part `zz`; known here: a",
        "4:32: `a` has no joint `q`; known here: b",
    ]
    first = "machine: x\nfirst: [t]\ntasks: {t: {behind: [a]}}\n" + ONE_PART
    assert faults(first) == [
        (
            "3:13: `t` comes before everything else, and can't be behind anything; "
            "take it out of first, or take its behind out"
        )
    ]


def test_a_fluid_drained_behind_what_it_wets_is_a_warning():
    text = (
        "machine: x\nfluids: {o: {drain: {behind: [a]}}}\nparts: {a: {wet: [o], joints: {b: {kind: clip}}}}\n"
    )
    (found,) = faults(text)
    assert found.startswith("2:31: warning: `o` is drained behind `a`, which waits for it in turn; ")


def test_all_faults_come_together_in_the_order_of_the_file_and_none_follows_on_another():
    assert faults_of_part(
        "x: {weight: 3, joints: {a: {kind: clip, cuont: 2}}}",
        "y:",
        "  behind: [x, x/a, {x: loose}]",
        "  joints: {b: {kind: clip, behind: [y/c]}, c: {kind: clip, time: x}}",
        "z: {behind: [w], joints: {a: {kind: clip}}}",
        "w: nothing",
    ) == [
        "1:13: 3 has no unit; a weight needs one; write it like 14 kg, 800 g or 30 lb",
        "1:41: `cuont` is not a key of a joint; did you mean `count`?",
        "4:66: 'x' is not a time; write it like 90 s, 5 min or 1 h 30 min",
        (
            "6:4: a part has keys under it, and this is the text 'nothing'; "
            "write label, subsystem, from, time … under it"
        ),
    ]


def test_a_hundred_faults_are_said_and_the_rest_is_counted():
    found = faults_of_part(*[f"x{number}: {{weight: 3, {CLIP}}}" for number in range(150)])
    assert len(found) == 101
    assert found[-1] == "101:16: and 50 more faults; mend the ones above first"


@pytest.mark.parametrize(
    ("fit", "fault"),
    [
        ("{from: »pit}", "there is no position `pit`; add it under positions"),
        ("{tool: »drfit}", "there is no tool `drfit`; add it under tools, or write a head: 13, T25, allen 6"),
    ],
)
def test_the_way_back_of_a_joint_is_from_a_place_and_with_a_tool_that_are_there(fit, fault):
    place, line = marked(f"parts: {{x: {{joints: {{a: {{kind: clip, fit: {fit}}}}}}}}}")
    assert faults(f"{line}\nmachine: m\n") == [f"{place}: {fault}"]


def test_whether_a_part_is_held_is_true_or_false():
    (said,) = faults_of_part(f"x: {{{CLIP}, hold: by hand}}")
    assert said.endswith(": 'by hand' is neither true nor false; write one of the two")
    assert said.startswith("1:")


@pytest.mark.parametrize(
    ("serves", "fault"),
    [
        ("[x]", "a task serves joints; write their names alone: [pulley/bolts]"),
        ("[{any: [x/a]}, {x: loose}]", "a task serves joints; write their names alone: [pulley/bolts]"),
        ("[x/b]", "`x` has no joint `b`; known here: a"),
        ("[y/a]", "there is no part `y`; known here: x"),
        ("[x/a, x/a]", "warning: this is in the list twice; take one out"),
    ],
)
def test_a_task_serves_joints_that_are_there(serves, fault):
    found = faults(f"machine: M\ntasks: {{hold: {{serves: {serves}}}}}\nparts: {{x: {{{CLIP}}}}}\n")
    assert fault in [one.split(": ", 1)[1] for one in found]
    assert all(one.startswith("2:") for one in found)


def test_a_task_behind_what_it_serves_is_seen():
    text = f"machine: M\ntasks: {{hold: {{serves: [x/a], behind: [x]}}}}\nparts: {{x: {{{CLIP}}}}}\n"
    (said,) = faults(text)
    assert said.startswith("2:40: warning: `hold` is behind `x`, which waits for it in turn; ")


def test_a_face_that_one_joint_alone_names_is_looked_at():
    joints = "{a: {kind: clip, face: flange}, b: {kind: clip, face: flange}, c: {kind: clip, face: flnge}}"
    (said,) = faults_of_part(f"x: {{joints: {joints}}}")
    assert said.endswith("warning: no other joint is on the face `flnge`; did you mean `flange`?")


def test_what_settles_has_a_torque():
    (said,) = faults_of_part("x: {joints: {a: {kind: clip, settle: true}}}")
    assert said.endswith("warning: it has no torque that could come last; give it one, or take `settle` out")


@pytest.mark.parametrize(
    ("task", "fault"),
    [
        ("carries: [y], undo: {}", "there is no part `y`; known here: x"),
        (
            "carries: [x]",
            "warning: nothing takes it away again; write undo: and what is done then",
        ),
        ("rated: true", "warning: it carries nothing; say what: carries: [engine]"),
        (
            "carries: [x], rated: perhaps, undo: {}",
            "'perhaps' is neither true nor false; write one of the two",
        ),
        (
            "carries: [x], behind: [x], undo: {}",
            (
                "warning: `jack` is behind `x`, which waits for it in turn; "
                "name what is really in the way, or take it out"
            ),
        ),
    ],
)
def test_a_task_carries_parts_that_are_there_and_is_taken_away(task, fault):
    (found,) = faults(f"machine: M\ntasks: {{jack: {{{task}}}}}\nparts: {{x: {{{CLIP}}}}}\n")
    assert found.startswith("2:")
    assert found.split(": ", 1)[1] == fault


def test_stands_that_the_whole_machine_is_set_on_may_be_rated():
    task = "raise: {label: Set it on stands, rated: true, undo: {}}"
    assert faults(f"machine: M\ntasks: {{{task}}}\nparts: {{x: {{{CLIP}}}}}\n") == []


def test_a_task_may_be_behind_what_does_not_bear_its_load():
    joints = "joints: {bolts: {kind: bolt, head: 10}, plug: {kind: connector}}"
    task = "jack: {carries: [x], behind: [x/plug], undo: {}}"
    assert faults(f"machine: M\ntasks: {{{task}}}\nparts: {{x: {{{joints}}}}}\n") == []


def test_what_drags_is_added_to_no_angle():
    joint = "kind: bolt, head: 10, torque: {stages: [90 deg], prevailing: 3 N.m}"
    _, said = faults_of_part(f"x: {{joints: {{a: {{{joint}}}}}}}")
    assert "it can't be added to an angle" in said
