"""The JSON Schema that editors complete and explain with."""

from pathlib import Path

import jsonschema_rs
import pytest

from sequencer.machine import json_schema
from sequencer.machine.library import folder
from tests.machine.texts import PAGE, SMALL
from tests.support.plain_machine import as_data

TUG = Path(__file__).parents[2] / "examples" / "yard-tug.yaml"


@pytest.fixture(scope="module")
def schema():
    return json_schema()


@pytest.fixture(scope="module")
def validator(schema):
    return jsonschema_rs.Draft202012Validator(schema)


def test_it_is_a_json_schema_of_the_2020_12_draft(schema):
    jsonschema_rs.meta.validate(schema)
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"


def test_every_key_is_explained(schema):
    unexplained = [
        f"{name}.{key}"
        for name, entry in {"": schema, **schema["$defs"]}.items()
        for key, field in entry["properties"].items()
        if not field.get("description")
    ]
    assert unexplained == []
    assert all(entry["description"] for entry in schema["$defs"].values())


@pytest.mark.parametrize("path", [PAGE, TUG, *sorted(folder().glob("*.yaml"))], ids=lambda path: path.name)
def test_good_files_pass(validator, path):
    assert [error.message for error in validator.iter_errors(as_data(path.read_text("utf-8")))] == []


@pytest.mark.parametrize(
    "part",
    [
        "torque: 10 N.m",
        "torque: [20 N.m, 90 deg]",
        "torque: {value: 10 N.m, pattern: cross}",
        "crack: guard",
        "crack: {while: [guard], time: 20}",
        "behind: guard",
        "behind: [guard, motor/plug, {motor: loose}, {any: [guard, {motor: off}]}]",
        "head: 10",
        "head: T25",
        "class: 8.8",
        "time: 1 h 30 min",
        "count: 4",
        "caution: [Hot, Sharp]",
        "torque: ",
    ],
)
def test_every_way_to_write_a_joint_passes(validator, part):
    data = as_data(SMALL + f"  x: {{joints: {{a: {{kind: bolt, {part}}}}}}}\n")
    assert [error.message for error in validator.iter_errors(data)] == []


@pytest.mark.parametrize(
    "part", ["loose: ", "loose: {}", "aside: [a]", "renew: Gasket", "renew: [Gasket, {item: B}]"]
)
def test_every_way_to_write_a_part_passes(validator, part):
    data = as_data(SMALL + f"  x: {{{part}, joints: {{a: {{kind: clip}}}}}}\n  y:\n")
    assert [error.message for error in validator.iter_errors(data)] == []


@pytest.mark.parametrize(
    "repeat",
    ["{side: [left, right]}", "{side: left}", "{side: {left: , right: {stand: x, n: 3}}}", "{n: [1, 2]}", ""],
)
def test_every_way_to_repeat_passes(validator, repeat):
    data = as_data(SMALL + f"  lid-<side>: {{joints: {{a-<side>: {{kind: clip}}}}}}\nrepeat: {repeat}\n")
    assert [error.message for error in validator.iter_errors(data)] == []


@pytest.mark.parametrize("repeat", ["[side]", "{side: []}", "{side: {left: x}}", "{a.b: [x]}", "{side: }"])
def test_a_bad_repeat_fails(validator, repeat):
    assert list(validator.iter_errors(as_data(SMALL + f"repeat: {repeat}\n")))


@pytest.mark.parametrize(
    "part",
    [
        "weight: <side.kg> kg",
        "weight: <side.weight>",
        "time: <side.time>",
        "people: <side.people>",
        "found: <side.day>",
        "behind: [{lid-<side>: loose}]",
        "box: {at: [<side.x>, 0, 0], size: [1, 1, <side.z>]}",
        "joints: {a: {count: <side.n>, torque: <side.torque>, at: [<side.x>, 0, 1]}}",
        "joints: {a: {torque: {stages: [<side.torque>, 90 deg], pattern: <side.pattern>}, axis: <side.way>}}",
    ],
)
def test_a_mark_may_stand_for_whatever_is_wanted(validator, part):
    data = as_data(SMALL + f"  x-<side>: {{{part}}}\n")
    assert [error.message for error in validator.iter_errors(data)] == []


@pytest.mark.parametrize(
    "bad",
    [
        "behnd: [guard]",
        "weight: 14",
        "weight: kg 14",
        "behind: [{motor: lose}]",
        "behind: [{motor: loose, guard: off}]",
        "joints: [a]",
        "joints: {a: {torque: 47}}",
        "joints: {a: {count: 0}}",
        "joints: {a: {torque: {pattern: star}}}",
        "joints: {a: {time: -3}}",
        "renew: [{count: 2}]",
        "from: [a]",
    ],
)
def test_bad_files_fail(validator, bad):
    assert list(validator.iter_errors(as_data(SMALL + f"  x: {{{bad}}}\n")))


@pytest.mark.parametrize("bad", ["machine: x\n", "parts: {}\n", "- a\n", "machine: x\nparts: {}\npart: {}\n"])
def test_files_with_a_bad_top_fail(validator, bad):
    assert list(validator.iter_errors(as_data(bad)))
