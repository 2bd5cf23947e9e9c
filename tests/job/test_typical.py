"""A job that the machine file names: remembered as that, and what experience renews with it said once."""

import pytest

import sequencer
from sequencer.cli.shared.options import Wanted
from sequencer.document.lists.parts import supplies
from sequencer.document.plans.both_ways import PaperJob
from sequencer.job.journal.card import read_card
from sequencer.plan.closing.supplies import by_experience
from sequencer.render.sheet.cover import cover_data
from tests.job.phone import Phone
from tests.views.paper_jobs import DAY

PUMP = """
machine: Pump, invented
fluids: {oil: {label: Oil, volume: 1 L}}
parts:
  cover: {renew: {item: Cover gasket, price: 2}, wet: [oil], joints: {bolts: {kind: bolt, head: 10}}}
  rotor: {behind: [cover], joints: {ring: {kind: clip, tool: hand, time: 5 s}}}
jobs:
  vanes:
    label: Worn vanes
    off: [rotor]
    for: It delivers less than it did
    renew: ["Vanes: a whole set", "Gasket of the cover", Oil, "Rotor, if scored"]
"""


@pytest.fixture
def removal(tmp_path):
    path = tmp_path / "pump.yaml"
    path.write_text(PUMP, "utf-8")
    return sequencer.plan_removal(sequencer.read_machine(path), job="vanes")


def test_the_job_is_remembered_and_its_page_says_what_to_renew(tmp_path, removal):
    with sequencer.begin_job(tmp_path / "j", removal, job="Worn vanes", people=["Ada"]) as desk:
        assert read_card(tmp_path / "j" / "job.yaml").jobs == ("vanes",)
        assert [one.label for one in desk.moment().jobs] == ["Worn vanes"]
    phone = Phone(tmp_path / "j", tmp_path)
    shown = phone.door.ask("GET", "/overview").text
    phone.close()
    section = shown.partition("<summary>To renew")[2].partition("</ul>")[0]
    assert section.count("Cover gasket") == 1
    assert "Gasket of the cover" not in section
    assert [one in section for one in ("Vanes: a whole set", "Rotor, if scored", "by experience")] == [
        True
    ] * 3


def test_list_and_sheet_have_it_once_beside_what_the_parts_ask_for(removal):
    paper = PaperJob(
        removal, sequencer.plan_refit(removal), DAY, jobs=Wanted(job=["vanes"]).jobs(removal.machine)
    )
    assert [(one.kind, one.item) for one in supplies(paper)] == [
        ("renewal", "Cover gasket"),
        ("fluid", "Oil"),
        ("experience", "Vanes: a whole set"),
        ("experience", "Rotor, if scored"),
    ]
    assert [row["item"] for row in cover_data(paper)["renew"]] == [
        "Cover gasket", "Vanes: a whole set", "Rotor, if scored",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("words", "known", "same"),
    [
        ("Head bolts: once only", "Cylinder-head bolt/Cylinder head", True),
        ("Head gasket", "Gasket/Cylinder head", True),
        ("Head gasket", "Gasket/Water pump", False),
        ("Water pump", "Water-pump gasket/Water pump", False),
        ("Timing belt and tensioner: together", "Timing-belt tensioner/Timing belt", True),
        ("Timing belt and tensioner", "Timing belt/Timing belt", False),
        ("?", "Gasket/Cover", False),
    ],
)
def test_words_that_say_the_same_are_not_said_again(removal, words, known, same):
    from dataclasses import replace

    one = replace(removal.machine.jobs["vanes"], renew=(words,))
    assert bool(by_experience([one], [known])) is not same
