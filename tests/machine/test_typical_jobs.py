"""The key `jobs`: what it says, what is wrong with it, and that what writes into a file leaves it alone."""

import pytest

from sequencer.errors import SequencerError
from sequencer.machine import read_text
from sequencer.machine.checks.typical_checks import job_called
from sequencer.machine.edit import Editor
from sequencer.machine.expand import expanded
from sequencer.machine.library import folder
from sequencer.machine.model import Atom, Need, State
from sequencer.machine.reading import load
from sequencer.machine.trade.relations import PART, relations

PUMP = """\
machine: Pump
parts:
  motor: {loose: yes, joints: {feet: {kind: nut, head: 13}}}
  seal: {joints: {ring: {kind: clip}}}
jobs:
  weeping-seal:
    label: Weeping seal, drip
    off: [seal, motor = loose]
    for: Drops under the pump
    renew: ["Shaft seal", "Belt: it is off anyway"]
  slack_belt: {off: motor=loose}
"""


def faults(text):
    return [str(one) for one in read_text(text).faults]


def test_a_job_says_what_comes_off_what_for_and_what_is_renewed():
    jobs = read_text(PUMP).machine.jobs
    weeping = jobs["weeping-seal"]
    assert (weeping.off, weeping.label) == (("seal", "motor=loose"), "Weeping seal, drip")
    assert weeping.purpose == ("Drops under the pump",)
    assert weeping.renew == ("Shaft seal", "Belt: it is off anyway")
    assert jobs["slack_belt"].label == "Slack belt"


def test_every_fault_of_it_is_told_at_once_with_its_place():
    text = PUMP.replace("motor = loose", "moter, motor=half, seal/ring, {seal: off}")
    assert faults(text + "  empty: {for: nothing}\n  none: {off: []}\n  a=b: {off: seal, of: seal}\n") == [
        "machine.yaml:8:17: there is no part `moter`; did you mean `motor`?",
        "machine.yaml:8:24: there is no state `half`; a part can be loose, aside, off",
        "machine.yaml:8:36: `seal/ring` is a joint, and a job takes parts off; write seal",
        "machine.yaml:8:47: a name or text is wanted here, and this is a mapping; write one, or take it out",
        "machine.yaml:12:3: a job needs `off`; write off: [head]",
        "machine.yaml:13:3: the job `none` takes nothing off; write off: [head]",
        ("machine.yaml:14:3: `a=b` can't be a name; "
        "names are words without / and =, and without blanks at the ends"),
        "machine.yaml:14:20: `of` is not a key of a job; did you mean `off`?",
    ]  # fmt: skip


def test_a_mark_in_it_stands_for_all_sides():
    text = """\
repeat: {side: [left, right]}
machine: Two heads
parts: {"head-<side>": {loose: yes, joints: {nuts: {kind: nut, head: 13}}}}
jobs:
  both: {off: [head-<side>]}
  loose: {off: head-<side>=loose}
"""
    jobs = read_text(text).machine.jobs
    assert jobs["both"].off == ("head-left", "head-right")
    assert jobs["loose"].off == ("head-left=loose", "head-right=loose")
    wrong = faults(text.replace("[head-<side>]", "[hed-<side>]"))
    assert [one.partition(";")[0] for one in wrong] == [
        "machine.yaml:5:16: there is no part `hed-left` (side left)",
        "machine.yaml:5:16: there is no part `hed-right` (side right)",
    ]


def test_it_names_what_an_include_brings_and_misses_what_that_leaves_out(tmp_path):
    (tmp_path / "drive.yaml").write_text(
        "assembly: Drive\nparts: {belt: {joints: {idler: {kind: nut, head: 13}}}}\n", "utf-8"
    )
    text = "machine: M\ninclude: [{assembly: drive.yaml, as: x}]\nparts: {a: {joints: {j: {kind: clip}}}}\n"
    (tmp_path / "m.yaml").write_text(f"{text}jobs: {{belt: {{off: x-belt}}}}\n", "utf-8")
    assert load(tmp_path / "m.yaml").jobs["belt"].off == ("x-belt",)
    assert "jobs:\n  belt: {off: x-belt}\n" in expanded(tmp_path / "m.yaml").text
    without = text.replace("as: x", "as: x, without: [belt]")
    found = read_text(f"{without}jobs: {{b: {{off: x-belt}}}}\n", folder=tmp_path)
    assert "machine.yaml:4:17: `x-belt` is needed here, and is left out by `without`" in str(found.faults[0])


def test_a_file_that_is_written_into_keeps_it(tmp_path):
    path = tmp_path / "pump.yaml"
    path.write_text(PUMP, "utf-8")
    editor = Editor(path)
    place = editor.read().machine.parts["seal"].place
    editor.add_need("seal", "behind", Need((Atom("motor", State.LOOSE),), place, relations(PART)[0]))
    editor.save()
    assert path.read_text("utf-8").partition("jobs:")[2] == PUMP.partition("jobs:")[2]
    assert load(path).jobs == read_text(PUMP, str(path)).machine.jobs


def test_a_job_is_meant_by_its_name_or_its_label():
    machine = read_text(PUMP).machine
    assert job_called(machine, "Weeping Seal, drip") == job_called(machine, "weeping seal")
    assert job_called(machine, "slack-belt").off == ("motor=loose",)


def test_an_unknown_job_lists_those_that_there_are():
    machine = read_text(PUMP).machine
    with pytest.raises(SequencerError) as fault:
        job_called(machine, "weping-seal")
    assert str(fault.value) == (
        "machine.yaml has no job 'weping-seal'; did you mean weeping-seal? "
        "its jobs are weeping-seal (Weeping seal, drip), slack_belt (Slack belt)"
    )


@pytest.mark.parametrize("path", sorted(folder().glob("*.yaml")), ids=lambda path: path.stem)
def test_a_shipped_machine_has_three_jobs_that_say_what_they_are_for(path):
    jobs = load(path).jobs.values()
    assert len(jobs) >= 3
    assert all(job.label and job.purpose and job.renew for job in jobs)
