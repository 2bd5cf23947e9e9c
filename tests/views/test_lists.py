"""The shopping list and the tool list: nothing forgotten, nothing twice, what is missing on top."""

import csv
import io
from collections import Counter
from dataclasses import replace
from fractions import Fraction

import pytest

from sequencer.document.lists.parts import parts_list, supplies
from sequencer.document.lists.rows import listing_document
from sequencer.document.lists.tools import tools_list, tools_needed
from sequencer.graph.operations import Kind
from sequencer.machine.reading import read_text
from sequencer.plan.closing.supplies import renewals
from sequencer.plan.closing.toolbox import equipment, load_toolbox
from sequencer.render.rows import as_csv, listing_pdf
from tests.support.profile import before_landing
from tests.support.some import some
from tests.views.paper_jobs import (
    DAY,
    FEW_NAMES,
    NO_GLYPH,
    ROOT,
    flat,
    job,
    odd,
    pages_of,
    price,
    pump,
    text_in,
    van,
    van_in_sittings,
)
from tests.views.test_text import printed


def test_every_renewal_is_on_the_list_with_count_and_price():
    wanted = Counter()
    for _, renewal in renewals(van().into):
        wanted[renewal.item] += renewal.count
    found = {one.item: one.count for one in supplies(van()) if one.kind == "renewal"}
    assert found == wanted
    total = sum(one.total or 0 for one in supplies(van()))
    assert total == sum((r.price or Fraction(0)) * r.count for _, r in renewals(van().into))
    assert f"{float(total):.2f}" in parts_list(van()).notes[0]


def test_fluids_and_sealants_are_on_the_list():
    kinds = Counter(one.kind for one in supplies(van()))
    assert kinds["fluid"] == len(van().into.fluids)
    seals = [op for op in van().back.operations if op.kind is Kind.SEAL]
    assert seals
    assert kinds["sealant"] >= 1


@before_landing
def test_what_is_needed_says_by_which_step_and_sitting():
    numbered = van_in_sittings()
    for one in some(supplies(numbered)):
        assert one.step is not None
        number, plan, sitting = numbered.sittings[one.sitting - 1]
        assert number == one.sitting
        assert plan is numbered.back
        assert sitting.first <= one.step <= sitting.last


def test_the_same_item_for_two_parts_is_one_line():
    text = """
machine: m
parts:
  a: {renew: [{item: Ring, count: 2, price: 1.10}], joints: {j: {kind: clip}}}
  b: {behind: [a], renew: [{item: Ring, price: 1.10}, {item: Ring, price: 2}], joints: {j: {kind: clip}}}
"""
    rings = supplies(job(read_text(text).machine, "b"))
    assert [(one.count, float(one.price)) for one in rings] == [(3, 1.1), (1, 2.0)]
    assert rings[0].uses == ("a", "b")


def test_without_a_way_back_the_list_says_so():
    assert {row[-1] for row in parts_list(replace(pump(), back=None)).rows} == {"the way back"}


def with_toolbox(whole):
    box = load_toolbox(ROOT / "examples/toolbox.yaml")
    return replace(whole, kit_in=equipment(whole.into, box, DAY), kit_back=equipment(whole.back, box, DAY))


def test_missing_tools_stand_on_top():
    found = tools_needed(with_toolbox(van()))
    missing = [need.owned is False for need in found]
    assert any(missing)
    assert missing == sorted(missing, reverse=True)
    listing = tools_list(with_toolbox(van()))
    assert listing.strong == frozenset(range(sum(missing)))
    assert all(row[-1] == "MISSING" for row in listing.rows[: sum(missing)])


def test_every_tool_of_both_ways_is_on_the_list_once():
    tools = {op.tool for plan in van().ways for op in plan.operations} - {"hand"}
    pieces = {piece for tool in tools for piece in tool.split("+")}
    found = [need.tool for need in tools_needed(van())]
    assert Counter(found) == Counter(pieces)


def test_without_a_toolbox_nothing_is_said_of_owning():
    assert {need.owned for need in tools_needed(van())} == {None}


@before_landing
@pytest.mark.parametrize("make", [parts_list, tools_list])
@pytest.mark.parametrize("which", FEW_NAMES)
def test_odd_names_come_out_in_table_csv_and_pdf(make, which):
    listing = make(odd(which))
    rows = list(csv.reader(io.StringIO(as_csv(listing.heads, listing.rows))))
    assert len(rows) == len(listing.rows) + 1
    assert all(len(row) == len(listing.heads) for row in rows)
    assert "\x1b" not in printed(listing_document, listing, 300)
    pages = pages_of(listing_pdf(odd(which), listing, "a4"))
    signs = {char.text for page in pages for char in page.chars}
    assert NO_GLYPH.isdisjoint(signs)


def test_a_spreadsheet_gets_no_formula():
    rows = list(csv.reader(io.StringIO(as_csv(("a",), [("=1+2",), ("+x",), ("-x",), ("@x",), ("1 × y",)]))))
    assert [row[0] for row in rows[1:]] == ["'=1+2", "'+x", "'-x", "'@x", "1 × y"]


def test_the_page_has_every_row():
    listing = parts_list(van())
    text = text_in(listing_pdf(van(), listing, "letter"))
    for row in listing.rows:
        assert flat(row[1]) in text
    assert price() in text
