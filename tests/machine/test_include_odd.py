"""Whatever is wrong with an include or an assembly, it is told in messages, and never in a traceback."""

import copy
import random

import pytest

from sequencer.machine import read
from sequencer.machine.edit import EditError, Editor
from sequencer.machine.expand import expanded
from tests.machine.test_include import CAR, WHEEL
from tests.support.plain_machine import as_data, as_text
from tests.support.profile import before_landing, counts

ODD = (
    None, "", "x", [], {}, ["a"], {"a": "b"}, [[]], [{}], [None], "5", "none", "true", "9" * 30, "/", "a/b",
    "a=b", "../x.yaml", "wheel.yaml", {"any": ["x"]}, {"any": []}, {"": ""}, "<bolts>", ["<bolts>"],
    {"<bolts>": "off"}, "<x>", "<raised>", "<pad>", "<way>", ["<way>"],
)  # fmt: skip


def paths(data, path=()):
    entries = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    for step, one in entries:
        yield (*path, step)
        yield from paths(one, (*path, step))


def changed(rng, text):
    """The text with a few of its values, keys or entries exchanged, left out or doubled."""
    data = as_data(text)
    for _ in range(rng.choice((1, 1, 2, 3))):
        path = rng.choice([*paths(data)] or [()])
        holder = data
        for step in path[:-1]:
            holder = holder[step]
        how = rng.random()
        if how < 0.6:
            holder[path[-1]] = copy.deepcopy(rng.choice(ODD))
        elif how < 0.8 and len(data) > 1:
            del holder[path[-1]]
        elif isinstance(holder, dict):
            holder[str(rng.choice(ODD))] = holder.pop(path[-1])
        else:
            holder.append(copy.deepcopy(rng.choice(ODD)))
    return as_text(data)


@before_landing
@pytest.mark.parametrize("seed", range(counts(quick=12, landing=20, nightly=5000)))
def test_odd_files_are_told_of_or_can_be_expanded_and_changed(seed, tmp_path):
    rng = random.Random(seed)
    machine = tmp_path / "m.yaml"
    odd = rng.random() < 0.5
    machine.write_text(changed(rng, CAR) if odd else CAR, "utf-8")
    (tmp_path / "wheel.yaml").write_text(WHEEL if odd else changed(rng, WHEEL), "utf-8")
    reading = read(machine)
    if reading.machine is None:
        assert any(fault.severity == "error" and fault.place.line for fault in reading.faults)
        return
    assert expanded(machine).text.startswith("# Written out from m.yaml")
    editor = Editor(machine)
    for part in list(reading.machine.parts)[:2]:
        try:
            editor.set_value(("parts", part, "note"), "found")
        except EditError:
            continue
        assert editor.value(("parts", part, "note")) == "found"


@pytest.mark.parametrize("section", ["tasks", "positions", "parts", "tools"])
def test_a_section_that_is_a_list_is_told_as_that(section, tmp_path):
    data = as_data(CAR)
    data[section] = [{"a": "b"}]
    (tmp_path / "m.yaml").write_text(as_text(data), "utf-8")
    (tmp_path / "wheel.yaml").write_text(WHEEL, "utf-8")
    found = [fault.problem for fault in read(tmp_path / "m.yaml").faults if fault.severity == "error"]
    assert any(f"`{section}` wants names with a colon" in one for one in found)


KINDS = """\
assembly: All kinds
parameters: {p: {is: KIND, default: DEFAULT, MORE}}
parts: {a: {label: a <p>, joints: {b: {kind: clip}}}}
"""
ONE = "machine: M\ninclude: {assembly: one.yaml, as: x, with: {}}\nparts:\n"
BOUND = "range: 2 to 9"


@before_landing
@pytest.mark.parametrize(
    ("kind", "default", "more", "good", "bad", "fault"),
    [
        ("count", "5", BOUND, "9", "10", "`p` is 2 to 9, and this is 10"),
        ("count", "5", BOUND, "3", "2.5", "`p` is a count: '2.5' is not a count"),
        ("time", "30 s", "range: 10 to 90 s", "1 min", "2 min", "`p` is 10 to 90 s, and this is 2 min"),
        ("weight", "2 kg", "range: 500 g to 3 kg", "800 g", "x", "`p` is a weight: "),
        ("volume", "1 L", "range: 0.5 to 2 L", "700 ml", "3 L", "`p` is 0.5 to 2 L, and this is 3 L"),
        (
            "torque",
            "9 N.m",
            "range: 6 to 12 N.m",
            "80 lbf.in",
            "9 lbf.ft",
            "`p` is 6 to 12 N.m, and this is 9",
        ),
        ("head", "13", "one_of: [13, T25]", "T25", "10", "`p` is one of 13, T25; write one of them"),
        ("head", "13", "about: x", "allen 6", "13 apples", "`p` is a head: no tool fits a head `13 apples`"),
        ("thread", "M8", "about: x", "G 1/4", "M8.5", "`p` is a thread: "),
        (
            "flag",
            "yes",
            "about: x",
            "false",
            "perhaps",
            "`p` is true or false: 'perhaps' is neither true nor",
        ),
        ("text", "x", "about: x", "any words", "[a]", "`p` is a text, and this is a list"),
    ],
)
def test_each_kind_of_parameter_takes_what_is_one_and_nothing_else(
    tmp_path, kind, default, more, good, bad, fault
):
    text = KINDS.replace("KIND", kind).replace("DEFAULT", default).replace("MORE", more)
    (tmp_path / "one.yaml").write_text(text, "utf-8")
    machine = tmp_path / "m.yaml"
    for given in ("{}", f"{{p: {good}}}"):
        machine.write_text(ONE.replace("{}", given), "utf-8")
        label = default if given == "{}" else good
        assert read(machine).machine.parts["x-a"].label == f"a {label}"
    machine.write_text(ONE.replace("{}", f"{{p: {bad}}}"), "utf-8")
    (only,) = read(machine).faults
    assert f"{only.problem}; {only.remedy}".startswith(fault), str(only)
    assert only.place.line == 2


def test_a_position_that_the_machine_lacks_is_told_where_it_is_given(tmp_path):
    (tmp_path / "wheel.yaml").write_text(WHEEL, "utf-8")
    (tmp_path / "m.yaml").write_text(CAR.replace("at: arch", "at: {wheel: arch, under: arhc}"), "utf-8")
    (only,) = read(tmp_path / "m.yaml").faults
    assert (only.place.line, only.problem, only.remedy) == (
        2, "there is no position `arhc`", "did you mean `arch`?",
    )  # fmt: skip
