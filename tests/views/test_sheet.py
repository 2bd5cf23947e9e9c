"""The sheet holds all of the plan, on few pages, each with its head, and no station is torn."""

import re
from datetime import date
from functools import cache, partial

import pytest

from sequencer.document.both_ways import Job
from sequencer.document.cards import refit_cards, teardown_cards
from sequencer.document.sittings import stop_words, why_words
from sequencer.document.torques import stage_words
from sequencer.document.words import joint_words
from sequencer.plan.cautions import cautions, notice
from sequencer.plan.plan import Refit
from sequencer.render.pictures.sketches import for_sheet
from sequencer.render.sheet.sheet import sheet_pdf
from tests.support.profile import before_landing, counts
from tests.support.some import some
from tests.views.paper_jobs import (
    NAMES,
    columns,
    flat,
    odd,
    pages_of,
    price,
    pump,
    text_in,
    van,
    van_in_sittings,
    van_pages,
)

COVER = range(2)
"""The first pages, before the steps."""


@pytest.fixture(scope="module")
def van_texts():
    return [columns(page) for page in van_pages()]


@pytest.fixture(scope="module")
def van_text(van_texts):
    return flat("\n".join(van_texts))


@cache
def written():
    """The pages of the van's sheet without the drawings at its end."""
    return [page for page in van_pages() if "An arrow runs from" not in page.extract_text()]


def test_the_vans_sheet_has_a_page_for_twenty_steps_at_most():
    steps = sum(len(plan.steps) for plan in van().ways)
    assert len(written()) - len(COVER) <= -(-steps // 20)
    assert len(van_pages()) - len(written()) <= 3


def test_every_page_has_job_number_and_date(van_texts):
    for number, page in enumerate(van_pages(), start=1):
        head = page.crop((0, 0, page.width, 45)).extract_text()
        assert van().name in head
        assert f"page {number} of {len(van_texts)}" in head
        assert "2026-12-05" in head


def test_every_step_with_count_and_size_is_on_the_sheet(van_text):
    for plan in van().ways:
        cards = refit_cards(plan) if isinstance(plan, Refit) else teardown_cards(plan)
        for card in (card for station in cards for card in station.steps):
            details = f"({card.details})" if card.details else ""
            assert flat(f"{card.number}{card.words}{details}") in van_text, card.words


def test_every_torque_has_its_stages_and_a_line_for_each_reading(van_text):
    job = van()
    for gate in job.back.gates:
        joint = job.machine.joint(*gate.joint.split("/", 1))
        stages = ", then ".join(stage_words(stage) for stage in joint.torque.stages)
        assert flat(stages) in van_text
    assert van_text.count("GATE") == len(job.back.gates)


def test_a_heavy_rule_names_each_gate_before_the_step_that_closes_it(van_text):
    job = van()
    closed = [gate for gate in job.back.gates if gate.last_step]
    assert closed
    words = {card.number: card.words for station in refit_cards(job.back) for card in station.steps}
    for gate in closed:
        named = flat(f"{joint_words(job.machine, *gate.joint.split('/', 1))} (step {gate.step})")
        step = job.back.steps[gate.last_step - 1]
        after = flat(f"{step.number}{words[step.number]}")
        assert van_text.index(named) < van_text.index(after)


def test_every_caution_stands_on_the_cover_and_at_its_step(van_text):
    for plan in van().ways:
        for told in cautions(plan).values():
            for caution in told:
                assert van_text.count(flat(caution.whole or caution.text)) >= 2
                assert flat(caution.text) in van_text
    assert flat(notice()) in van_text


def test_the_cover_says_what_it_comes_to_and_what_it_was_compared_with(van_texts):
    first, cover = van_texts[0], "\n".join(van_texts[place] for place in COVER)
    assert flat("Taking the file from top to bottom") in flat(first)
    assert price() in cover
    assert "JOB SHEET" in first


def test_letters_are_of_ten_points_and_up_but_for_drawings():
    for page in some(written()):
        assert min(char.size for char in page.chars) >= 9.99


SPREAD = ("long", "words", "hebrew")


def test_no_letter_is_set_over_the_edge_of_a_page():
    for which in counts(quick=("long",), landing=SPREAD, nightly=SPREAD):
        job = odd(which)
        for page in pages_of(sheet_pdf(job, for_sheet(job.into, job.sittings_in))):
            assert min(char.x0 for char in page.chars) >= 10
            assert max(char.x1 for char in page.chars) <= page.width - 10


def test_no_station_is_torn_by_a_page_or_column():
    """A column begins with a heading in bold: never in the middle of a station."""
    for page in some(written()[len(COVER) :]):
        for left in (0, page.width / 2 + 3):
            column = page.crop((left, 40, min(left + page.width / 2, page.width), page.height - 35))
            font = column.font_of_the_first()
            if font is None:  # the way ended in the left column
                continue
            assert "Bold" in font, column.extract_text()[:80]


def test_a_station_taller_than_a_page_is_still_printed():
    from sequencer.machine.reading import read_text
    from tests.views.paper_jobs import job

    joints = ", ".join(f"j{n}: {{kind: clip, label: Clip number {n}}}" for n in range(130))
    machine = read_text(f"machine: m\nparts: {{a: {{joints: {{{joints}}}}}}}").machine
    text = text_in(sheet_pdf(job(machine, "a")))
    assert all(f"{n + 1}Undoa:Clipnumber{n}" in text for n in range(130))


def test_sittings_end_with_a_word_on_how_the_machine_is_left():
    job = counts(quick=partial(pump, 20), landing=van_in_sittings, nightly=van_in_sittings)()
    text = text_in(sheet_pdf(job))
    for number, plan, one in job.sittings:
        words = why_words(one) + "".join(stop_words(plan, one)[:1])
        assert re.search(rf"Endofsitting{number}\([^)]*\).?{re.escape(flat(words))}", text), words


def test_letter_paper_is_letter_paper():
    page = pages_of(sheet_pdf(pump(), (), "letter"))[0]
    assert (float(page.width), float(page.height)) == (612, 792)


def test_the_same_job_and_day_give_the_same_file():
    assert sheet_pdf(pump()) == sheet_pdf(pump())


def test_the_day_is_the_one_that_is_given():
    job = pump()
    page = pages_of(sheet_pdf(Job(job.into, job.back, date(2020, 2, 29))))[0]
    assert "2020-02-29" in page.extract_text()


def test_without_the_way_back_there_are_no_gates():
    text = text_in(sheet_pdf(Job(pump().into, None, date(2026, 1, 1))))
    assert "Thewayback" not in text
    assert "GATE" not in text


@pytest.mark.parametrize("which", ["markup", "long", "words", "formula"])
def test_names_come_out_to_the_letter(which):
    job = odd(which)
    text = text_in(sheet_pdf(job))
    assert text.count(flat(NAMES[which])) >= 8


@before_landing
def test_pictures_of_the_order_show_each_turn_once(van_texts):
    job = van()
    pdf_text = "\n".join(van_texts)
    gate = job.back.gates[0]
    order = job.machine.joint(*gate.joint.split("/", 1))
    assert order.count == 10
    start = pdf_text.index("GATE 30 N.m")
    digits = re.findall(r"\b(?:10|[1-9])\b", pdf_text[start : start + 600])
    assert {str(n) for n in range(1, 11)} <= set(digits)
