"""Jobs that several tests print: planned once in a run."""

from datetime import date
from fractions import Fraction
from functools import cache
from pathlib import Path

import pypdfium2

from sequencer.document.plans.both_ways import PaperJob, bag_words
from sequencer.engine.problem import Limits
from sequencer.graph.targets import parse_targets
from sequencer.job.now.bags import numbered
from sequencer.job.now.label_pairs import labels
from sequencer.machine.reading import load, read_text
from sequencer.plan.closing.supplies import renewals
from sequencer.plan.evenings.evenings import as_ordered, with_breaks
from sequencer.plan.evenings.wish import SittingsWish
from sequencer.plan.plan import Teardown
from sequencer.plan.practice.rules import Practice
from sequencer.plan.refit import plan_refit
from sequencer.plan.teardown import plan_teardown
from sequencer.render.pictures.sketches import for_sheet
from sequencer.render.sheet.sheet import sheet_pdf
from tests.support.profile import counts
from tests.views.paper_reader import pages_of

ROOT = Path(__file__).resolve().parents[2]
DAY = date(2026, 12, 5)
FEW = Limits(states=20_000)
"""A good order is enough here: what is printed does not depend on its proof."""


def job(machine, *off, minutes=None, on=DAY):
    into = plan_teardown(machine, parse_targets(machine, list(off)), limits=FEW)
    return job_of_plan(into, minutes, on)


def job_of_plan(into: Teardown, minutes=None, on=DAY):
    back = plan_refit(into, limits=FEW)
    wish = SittingsWish((Fraction(minutes * 60),)) if minutes else None
    cut_in = as_ordered(into, wish) if wish else ()
    cut_back = as_ordered(back, wish) if wish else ()
    into, back = with_breaks(into, cut_in), with_breaks(back, cut_back)
    order = [op.name for op in into.operations]
    bags, pairs = bag_words(numbered(into.machine, order)), labels(into.machine, order)
    return PaperJob(into, back, on, cut_in, cut_back, bags=bags, labels=pairs)


VAN_OFF = counts(quick="timing-belt", landing="head", nightly="head")


@cache
def van():
    return job(load(ROOT / "models/delivery-van.yaml"), VAN_OFF)


@cache
def van_in_practice():
    """As the command plans it, which other tests of a landing ask for as well."""
    machine = load(ROOT / "models/delivery-van.yaml")
    into = plan_teardown(machine, parse_targets(machine, [VAN_OFF]), practice=Practice.ALL)
    return PaperJob(into, plan_refit(into, practice=Practice.ALL), DAY)


@cache
def van_in_sittings():
    return job_of_plan(van().into, 90)


@cache
def pump(minutes=None):
    return job(load(ROOT / "examples/bench-pump.yaml"), "seal", minutes=minutes)


@cache
def van_sheet():
    return sheet_pdf(van(), for_sheet(van().into, ()))


def price():
    """What all that the van's job renews costs, as it is written."""
    return f"{sum(float(new.price or 0) * new.count for _, new in renewals(van().into)):.2f}"


@cache
def van_pages():
    return pages_of(van_sheet())


NAMES = {
    "markup": "*b* _i_ #panic() $x$ <b>x</b> [l](u) `r` \\ & ] @a // c",
    "long": "w" * 120,
    "words": "quite a long name for a part " * 4 + "end",
    "hebrew": "מנוע קל",
    "arabic": "مضخة المياه",
    "thai": "ปั๊มน้ำ",
    "chinese": "水泵轴承",
    "emoji": "🚗 🛠️ 👩‍🔧",
    "private": "a\ue000b",
    "formula": "=1+2",
}

FEW_NAMES = counts(quick=("long", "hebrew"), landing=tuple(NAMES), nightly=tuple(NAMES))
"""Where each takes a while: at once a sample of them."""


@cache
def odd(which):
    """A small job whose every name is one of ``NAMES``."""
    import json

    name = json.dumps(NAMES[which], ensure_ascii=False)
    reading = read_text(
        f"""
machine: {name}
about: {name}
positions: {{here: {{label: {name}, caution: {name}}}}}
fluids: {{f: {{label: {name}, volume: 2 L}}}}
tasks: {{t: {{label: {name}, undo: {{label: {name}}}, before: [p]}}}}
tools: {{own: {{label: {name}}}}}
parts:
  p:
    label: {name}
    wet: [f]
    note: {name}
    renew: [{{item: {name}, count: 3, price: 2}}]
    joints:
      j: {{kind: bolt, head: 10, count: 4, label: {name},
          torque: {{value: 9 N.m, source: {name}, pattern: cross}}}}
      c: {{kind: connector, label: {name}, count: 2}}
  inner: {{behind: [p], joints: {{b: {{kind: clip, tool: own}}}}}}
"""
    )
    assert reading.machine is not None, [str(fault) for fault in reading.faults]
    return job(reading.machine, "inner", minutes=11)


def flat(text):
    """Text without blanks and places where a line may break: what is left of it on any page."""
    return "".join(text.replace("\u200b", "").split())


def text_in(pdf):
    """All text of a PDF."""
    return flat("".join(page.extract_text() for page in pages_of(pdf)))


NO_GLYPH = {"\0", "\ufffd"}
"""How the text of a PDF shows a glyph that stands for none (glyph 0 of every font, by OpenType)."""


def glyphs_in(pdf):
    """Every sign on the pages."""
    from pypdfium2 import raw

    texts = [page.get_textpage() for page in pypdfium2.PdfDocument(pdf)]
    return [chr(raw.FPDFText_GetUnicode(text, n)) for text in texts for n in range(text.count_chars())]
