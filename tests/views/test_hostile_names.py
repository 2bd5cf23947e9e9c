"""Names that mean something to a terminal, to markup, to DOT or to XML come out as what they are."""

import json
import xml.etree.ElementTree as ET

import pytest

from sequencer.document.clean import clean
from sequencer.document.plans.plan import refit_document, teardown_document
from sequencer.graph.targets import parse_targets
from sequencer.machine.reading import read_text
from sequencer.plan.refit import plan_refit
from sequencer.plan.teardown import plan_teardown
from sequencer.render.data.plans.plan import refit_json, teardown_json
from sequencer.render.pictures.boxes import node_key
from sequencer.render.pictures.sketches import sketches
from tests.support.profile import counts
from tests.views.test_text import printed

NAMES = [
    "[bold]x[/bold]",
    "[link=file:x]y[-",
    "<b>bold</b> & <i>",
    "a]b[:\\",
    "q\"u'o{te}|<x>",
    "\\N \\G \\l",
    "&amp; &#60; ;",
    "</td></tr>",
    "מנוע קל",
    "🚗 🛠️",
    "{x} %s %(y)s {0}",
    "node",
    "-->",
    "]]>",
    "w" * 120,
]


def machine_of(name):
    quoted = json.dumps(name, ensure_ascii=False)
    labelled = json.dumps(name.replace("<b>", "<b>/"), ensure_ascii=False)
    if "/" in name or "=" in name:  # no names, but labels
        quoted = "plain"
    reading = read_text(
        f"""
machine: {labelled}
positions: {{{quoted}: {{label: {labelled}, caution: {labelled}}}}}
fluids: {{{quoted}: {{label: {labelled}}}}}
tasks: {{{quoted}: {{label: {labelled}, undo: , before: [{quoted}]}}}}
parts:
  {quoted}:
    label: {labelled}
    wet: [{quoted}]
    note: {labelled}
    renew: [{labelled}]
    joints:
      {quoted}: {{kind: bolt, head: 10, label: {labelled}, torque: {{value: 9 N.m, source: {labelled}}}}}
  inner: {{behind: [{quoted}], joints: {{b: {{kind: clip}}}}}}
"""
    )
    assert reading.machine is not None, [str(fault) for fault in reading.faults]
    return reading.machine, labelled


@pytest.fixture(
    params=counts(quick=list(NAMES)[::3], landing=NAMES, nightly=NAMES), ids=lambda name: ascii(name)[:20]
)
def planned(request):
    machine, _ = machine_of(request.param)
    found = plan_teardown(machine, parse_targets(machine, ["inner"]))
    return machine.name, found


def test_text_shows_them_as_they_are(planned):
    name, plan = planned
    for text in (printed(teardown_document, plan, 400), printed(refit_document, plan_refit(plan), 400)):
        assert text.count(clean(name)) >= 8
        assert "\x1b" not in text


def test_json_keeps_them_to_the_letter(planned):
    name, plan = planned
    for data in (teardown_json(plan), refit_json(plan_refit(plan))):
        again = json.loads(json.dumps(data, ensure_ascii=False))
        assert again["machine"] == name
        assert name in again["positions"].values()


def test_the_picture_is_well_formed_and_shows_them(planned):
    name, plan = planned
    root = ET.fromstring(sketches(plan.machine, plan)[0])
    texts = ["".join(e.itertext()).strip("\xa0 ") for e in root.iter("{http://www.w3.org/2000/svg}text")]
    shown = "".join("".join(texts).split())
    assert shown.count("".join(name.split())) >= 4


def test_two_names_never_become_one_box():
    names = ["a:b", "a_b", "a@b", "a%3Ab", "a\\b", 'a"b', "a<b", "a>b"]
    keys = {node_key(part, position) for part in names for position in names}
    assert len(keys) == len(names) ** 2
    assert not any(sign in key for key in keys for sign in ':\\"<>')


def test_what_a_terminal_would_obey_is_left_out():
    assert clean("a\x1b[31mb\u202ec\u2066d\te\r\nf") == "a [31mb c d e f"
