"""Whatever is wrong with an include or an assembly, it is told in messages, and never in a traceback."""

import copy
import random

import pytest
from ruamel.yaml import YAML

from sequencer.machine import read
from sequencer.machine.edit import EditError, Editor
from sequencer.machine.expand import expanded
from tests.machine.test_include import CAR, WHEEL
from tests.support.profile import counts
from tests.support.random_repeats import _dump

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
    data = YAML(typ="safe").load(text)
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
    return _dump(data)


@pytest.mark.parametrize("seed", range(counts(quick=12, landing=100, nightly=5000)))
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
    data = YAML(typ="safe").load(CAR)
    data[section] = [{"a": "b"}]
    (tmp_path / "m.yaml").write_text(_dump(data), "utf-8")
    (tmp_path / "wheel.yaml").write_text(WHEEL, "utf-8")
    found = [fault.problem for fault in read(tmp_path / "m.yaml").faults if fault.severity == "error"]
    assert any(f"`{section}` wants names with a colon" in one for one in found)
