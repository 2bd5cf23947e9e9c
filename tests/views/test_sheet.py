"""The sheet holds all of the plan on few pages; each has its head, nothing collides, no station is torn."""

import re
from datetime import date, datetime
from functools import cache, partial

import pytest

from sequencer.document.evenings.sittings import needed, stop_words, why_words
from sequencer.document.jobs.written import Written
from sequencer.document.plans.both_ways import PaperJob
from sequencer.document.steps.cards import refit_cards, teardown_cards
from sequencer.document.steps.torques import stage_words
from sequencer.graph.said import joint_words
from sequencer.machine.reading import read_text
from sequencer.plan.closing.readings import fasteners_of
from sequencer.plan.hazards.cautions import cautions, notice
from sequencer.plan.plan import Refit
from sequencer.quantities import parse_torque
from sequencer.render.pictures.sketches import for_sheet
from sequencer.render.sheet.sheet import brief_pdf, sheet_pdf
from sequencer.render.sheet.stations import sections
from tests.support.profile import before_landing, counts
from tests.support.some import some
from tests.views.paper_checker import faults_on
from tests.views.paper_jobs import (
    NAMES,
    flat,
    job,
    odd,
    pages_of,
    price,
    pump,
    text_in,
    van,
    van_in_practice,
    van_in_sittings,
    van_pages,
)

SMALLEST = 7
"""Points of the smallest letters on paper: the numbers in a picture of forty bolts."""


@pytest.fixture(scope="module")
def van_texts():
    return [page.extract_text() for page in van_pages()]


@pytest.fixture(scope="module")
def van_text(van_texts):
    return flat("\n".join(van_texts))


@cache
def written():
    """The pages of the van's sheet without the drawings at its end."""
    return [page for page in van_pages() if "step of the plan" not in page.extract_text()]


def with_people():
    return PaperJob(**(vars(pump(20)) | {"people": ("Kim",)}))


@cache
def pump_pages():
    return pages_of(sheet_pdf(with_people()))


FORTY = """
machine: Forty
positions: {here: {label: At the bench}}
parts:
  lid:
    label: Lid
    joints:
      bolts: {kind: bolt, head: 13, thread: M8, count: 40,
              torque: {stages: [10 N.m, 22 N.m], pattern: spiral}, at: PLACES}
      studs: {kind: bolt, head: 13, thread: M8, count: 3, torque: {value: 9 N.m}}
  core: {label: Core, behind: [lid], joints: {clip: {kind: clip}}}
"""


@cache
def forty():
    places = [[30 * column, 60 * row] for row in range(4) for column in range(10)]
    reading = read_text(FORTY.replace("PLACES", str(places)))
    assert reading.machine is not None, [str(fault) for fault in reading.faults]
    return job(reading.machine, "core")


@cache
def forty_pages():
    return pages_of(sheet_pdf(forty()))


@cache
def large_pages():
    return pages_of(sheet_pdf(pump(), large=True))


@cache
def one_part():
    return job(read_text("machine: One\nparts: {a: {joints: {j: {kind: clip}}}}").machine, "a")


@cache
def van_pages_in_sittings():
    return pages_of(sheet_pdf(van_in_sittings()))


@cache
def odd_pages(which):
    return pages_of(sheet_pdf(odd(which)))


SHEETS = {
    "pump in sittings": pump_pages,
    "pump, large letters": large_pages,
    "pump on Letter": lambda: pages_of(sheet_pdf(pump(), (), "letter")),
    "pump's stations": lambda: pages_of(brief_pdf(pump())),
    "forty bolts": forty_pages,
    "one part": lambda: pages_of(sheet_pdf(one_part())),
    "long": partial(odd_pages, "long"),
    "hebrew": partial(odd_pages, "hebrew"),
    "chinese": partial(odd_pages, "chinese"),
    "van": written,
    "van's stations": lambda: pages_of(brief_pdf(van(), "letter")),
    "van, large letters": lambda: pages_of(sheet_pdf(van(), large=True)),
    "van in sittings": van_pages_in_sittings,
}
AT_NIGHT = ("van, large letters", "van in sittings")  # the pump has both
BEFORE_LANDING = tuple(which for which in SHEETS if which not in AT_NIGHT)
LOOKED_AT = counts(quick=("pump in sittings",), landing=BEFORE_LANDING, nightly=tuple(SHEETS))


@pytest.mark.parametrize("which", LOOKED_AT)
def test_nothing_on_a_page_collides_or_is_too_small(which):
    for number, page in enumerate(SHEETS[which](), start=1):
        assert list(faults_on(page, SMALLEST)) == [], f"page {number}"


@before_landing
@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("make", [pump, van_in_practice])
def test_a_sheet_has_a_page_for_twenty_steps_at_most(make, paper):
    """Overview and diagrams apart: the pages from the head of the way in on."""
    texts = [flat(page.extract_text()) for page in pages_of(sheet_pdf(make(), (), paper))]
    first = next(number for number, text in enumerate(texts) if "Thewayin,steps" in text)
    assert len(texts) - first <= -(-sum(len(plan.steps) for plan in make().ways) // 20)


@before_landing
def test_the_diagrams_of_the_van_are_few():
    assert len(van_pages()) - len(written()) <= 4


def test_every_page_tells_job_file_plan_date_page_and_person():
    shown, pages = with_people(), pump_pages()
    for number, page in enumerate(pages, start=1):
        head = page.crop((0, 0, page.width, 45)).extract_text()
        assert shown.name in head
        assert f"file {shown.machine.revision}" in head
        assert f"plan {shown.order_mark}" in head
        assert f"page {number} of {len(pages)}" in head
        assert "2026-12-05" in head
        foot = page.crop((0, page.height - 34, page.width, page.height)).extract_text()
        assert notice() in foot
        assert re.search(r"Done by\s+Kim", foot)


def test_a_print_tells_one_state_of_the_file_and_one_order_from_another():
    first = read_text("machine: Forty\nparts: {a: {joints: {j: {kind: clip}}}}")
    other = read_text("machine: Forty\nparts: {a: {joints: {j: {kind: clip, time: 5}}}}")
    assert first.machine.revision != other.machine.revision
    assert pump().order_mark != van().order_mark


@before_landing
def test_every_step_with_count_and_size_is_on_the_sheet(van_text):
    for plan in van().ways:
        cards = refit_cards(plan) if isinstance(plan, Refit) else teardown_cards(plan)
        for card in (card for station in cards for card in station.steps):
            details = f"({card.details})" if card.details else ""
            assert flat(f"{card.number}{card.words}{details}") in van_text, card.words


def test_every_torque_has_its_stages_and_is_a_gate(van_text):
    job = van()
    for gate in job.back.gates:
        joint = job.machine.joint(*gate.joint.split("/", 1))
        stages = ", then ".join(stage_words(stage) for stage in joint.torque.stages)
        assert flat(stages) in van_text
    assert van_text.count("GATE") == len(job.back.gates)


def gates_in(job):
    told = (step for one in sections(job) for station in one["stations"] for step in station["steps"])
    return {step["number"]: step["gate"] for step in told if step["gate"]}


@before_landing
@pytest.mark.parametrize("make", [pump, forty, van])
def test_there_is_a_box_for_each_fastener_and_stage_of_a_gate(make):
    job = make()
    shown = gates_in(job)
    for gate in job.back.gates:
        joint = job.machine.joint(*gate.joint.split("/", 1))
        stages = joint.torque.stages or (None,)
        many = len(fasteners_of(joint)) if joint.torque.stages else 1
        assert [len(row["boxes"]) for row in shown[gate.step]["rows"]] == [many] * len(stages)


@before_landing
def test_each_box_is_drawn_with_room_for_initials():
    page = next(page for page in forty_pages() if "GATE" in page.extract_text())
    boxes = [box for box in page.boxes if 38 < box.width < 60 and 18 < box.height < 22]
    assert len(boxes) == 40 * 2 + 3
    for box in boxes:
        inside = [s for s in page.lines if box.x0 + 9 < s.x0 == s.x1 < box.x1 - 9]
        assert any(s.top <= box.top + 1 and s.bottom >= box.bottom - 1 for s in inside)


def test_a_picture_of_forty_bolts_has_each_number_once_and_can_be_read():
    (gate,) = [gate for gate in gates_in(forty()).values() if gate["picture"]]
    assert sorted(bolt["rank"] for bolt in gate["picture"]["bolts"]) == list(range(1, 41))
    assert not any(bolt["label"] for bolt in gate["picture"]["bolts"])


@before_landing
def test_readings_that_exist_stand_in_their_boxes():
    job = pump()
    gate = job.back.gates[0]
    joint = job.machine.joint(*gate.joint.split("/", 1))
    cell = (1, fasteners_of(joint)[0])
    read = Written(
        "40.5 N.m", "KB", "the long one", datetime(2026, 12, 4, 18, 30).astimezone(), parse_torque("40.5 N.m")
    )
    told = {"written": {gate.joint: {cell: read}}, "said": {gate.joint: ("closed anyway: x",)}}
    job = PaperJob(**(vars(job) | told))
    text = text_in(sheet_pdf(job))
    for words in ("40.5", "KB", "thelongone", "04Dec18:30", "closedanyway:x"):
        assert words in text


def test_a_bar_over_the_page_names_each_gate_before_the_step_that_closes_it(van_text):
    job = van()
    closed = [gate for gate in job.back.gates if gate.last_step]
    assert closed
    words = {card.number: card.words for station in refit_cards(job.back) for card in station.steps}
    for gate in closed:
        named = flat(f"{joint_words(job.machine, *gate.joint.split('/', 1))} (step {gate.step})")
        step = job.back.steps[gate.last_step - 1]
        after = flat(f"{step.number}{words[step.number]}")
        assert van_text.index(named) < van_text.index(after)
    page = next(page for page in written() if "DO NOT GO ON" in page.extract_text())
    bars = [line for line in page.lines if line.size > 3 and line.width > 0.85 * page.width]
    assert bars


def test_no_caution_stands_twice_on_a_page_and_each_where_it_is_met(van_texts):
    pages = [flat(text) for text in van_texts]
    for plan in van().ways:
        for told in cautions(plan).values():
            for caution in told:
                found = [page.count(flat(f"!{caution.text}")) for page in pages]
                assert sum(found) >= 1, caution.text
                assert max(found) == 1, caution.text
    assert flat(notice()) in pages[0]


def test_the_first_page_says_what_it_comes_to_and_what_it_was_compared_with(van_texts):
    assert flat("Taking the file from top to bottom") in flat(van_texts[0])
    assert price() in van_texts[0]
    assert "JOB SHEET" in van_texts[0]


@before_landing
def test_stations_are_at_fourteen_points_and_steps_at_twelve():
    page = pump_pages()[1]
    sizes = [round(char.size, 1) for char in page.chars if char.text.strip()]
    assert sizes.count(14) > 20
    assert sizes.count(12) > 100
    large = large_pages()[1]
    sizes = [round(char.size, 1) for char in large.chars if char.text.strip()]
    assert sizes.count(21) > 20
    assert sizes.count(18) > 100


def test_the_terminals_codes_are_on_the_sheet(van_text):
    for plan in van().ways:
        cards = refit_cards(plan) if isinstance(plan, Refit) else teardown_cards(plan)
        for card in cards:
            assert card.code == f"{'B' if plan.back else 'A'}{card.steps[-1].number}"
            assert flat(f"{card.code}{card.tool}") in van_text


def test_a_sitting_begins_a_page_and_says_what_it_needs_and_where_it_ends():
    job = pump(20)
    texts = [flat(page.extract_text()) for page in pump_pages()]
    for number, plan, one in job.sittings:
        page = next(text for text in texts if f"Sitting{number}of{len(job.sittings)}:" in text)
        head = page[page.index(f"Sitting{number}of") :]
        assert re.search(r"Sitting\d+of", page[: page.index(f"Sitting{number}of") - 1]) is None
        for name in ("Where:", "Howlong:", f"Ends:afterstep{one.last}:"):
            assert name in head
        for name, words in needed(plan, one):
            assert flat(f"{name}: {words}") in head


SPREAD = ("long", "words", "hebrew")


@before_landing
def test_no_letter_is_set_over_the_edge_of_a_page():
    for which in counts(quick=(), landing=SPREAD[::2], nightly=SPREAD):
        job = odd(which)
        for page in pages_of(sheet_pdf(job, for_sheet(job.into, job.sittings_in))):
            assert min(char.x0 for char in page.chars) >= 10
            assert max(char.x1 for char in page.chars) <= page.width - 10


@before_landing
def test_no_station_is_torn_by_a_page():
    """A page begins with a place in bold over its whole width: never in the middle of a station."""
    for page in some(written()[1:]):
        body = page.crop((0, 40, page.width, page.height - 35))
        assert "Bold" in body.font_of_the_first(), body.extract_text()[:80]
        assert "continued" not in body.extract_text()


@before_landing
def test_a_station_taller_than_a_page_is_still_printed():
    joints = ", ".join(f"j{n}: {{kind: clip, label: Clip number {n}}}" for n in range(60))
    machine = read_text(f"machine: m\nparts: {{a: {{joints: {{{joints}}}}}}}").machine
    text = text_in(sheet_pdf(job(machine, "a")))
    assert all(f"{n + 1}Undoa:Clipnumber{n}" in text for n in range(60))
    assert "continued" in text


@before_landing
@pytest.mark.parametrize(("make", "told"), [(pump, "about"), (van, "tool")])
def test_the_stations_alone_fit_on_a_page(make, told):
    """With what is worked on where that has room; the first words, since the steps stand beside them."""
    (page,) = pages_of(brief_pdf(make()))
    text = flat(page.extract_text())
    for plan in make().ways:
        for card in refit_cards(plan) if isinstance(plan, Refit) else teardown_cards(plan):
            assert flat(f"{card.code}{getattr(card, told)}")[:12] in text


@before_landing
def test_sittings_end_with_a_word_on_how_the_machine_is_left():
    job = van_in_sittings()
    text = flat("".join(page.extract_text() for page in van_pages_in_sittings()))
    for number, plan, one in job.sittings:
        words = why_words(one) + "".join(stop_words(plan, one)[:1])
        assert re.search(rf"Endofsitting{number}\([^)]*\).?{re.escape(flat(words))}", text), words


def test_letter_paper_is_letter_paper():
    page = pages_of(sheet_pdf(one_part(), (), "letter"))[0]
    assert (float(page.width), float(page.height)) == (612, 792)


@before_landing
def test_the_same_job_and_day_give_the_same_file():
    assert sheet_pdf(one_part()) == sheet_pdf(one_part())


def test_the_day_is_the_one_that_is_given():
    job = one_part()
    page = pages_of(sheet_pdf(PaperJob(job.into, job.back, date(2020, 2, 29))))[0]
    assert "2020-02-29" in page.extract_text()


@before_landing
def test_without_the_way_back_there_are_no_gates():
    text = text_in(sheet_pdf(PaperJob(pump().into, None, date(2026, 1, 1))))
    assert "Thewayback" not in text
    assert "GATE" not in text


ODD = ("markup", "words", "long", "formula")


@before_landing
@pytest.mark.parametrize("which", ODD)
def test_names_come_out_to_the_letter(which):
    text = flat("".join(page.extract_text() for page in odd_pages(which)))
    assert text.count(flat(NAMES[which])) >= 8
