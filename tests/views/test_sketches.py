"""Diagrams by purpose: legible on paper, nothing cut, and what is on another page is named."""

import re
from datetime import date

import pytest

from sequencer.document.steps.torques import stages_words
from sequencer.document.words import joint_words, part_words
from sequencer.render.paper.drawn import drawn
from sequencer.render.pictures.diagram import FONT, dot_of
from sequencer.render.pictures.drawing import Drawing
from sequencer.render.pictures.flow import flow
from sequencer.render.pictures.leaves import ABOUT, SOME_MORE, by_position, by_sitting
from sequencer.render.pictures.on_paper import paper_svg, pictures, smallest_text
from sequencer.render.pictures.sketches import back_for_paper, for_sheet, sketch, sketch_back, sketch_sittings
from tests.support.profile import before_landing, counts
from tests.support.some import some
from tests.views.paper_jobs import FEW_NAMES, NAMES, flat, odd, pages_of, pump, van, van_in_sittings

DAY = date(2026, 12, 5)
A4_ON_ITS_SIDE = (842, 595)


def boxes_of(dot):
    return len(re.findall(r"label=<<table", dot)) - dot.count("subgraph")


@pytest.fixture(scope="module")
def van_drawn():
    (pdf,) = sketch(van().machine, van().into, "pdf", "The van", DAY)
    return pages_of(pdf)


@before_landing
def test_the_vans_diagram_for_one_target_is_legible_on_a4(van_drawn):
    """The letters as they are in the PDF, at the size at which it is printed."""
    for page in van_drawn:
        assert sorted((float(page.width), float(page.height))) == pytest.approx([595.28, 841.89], abs=0.1)
        assert min(char.size for char in page.chars if char.text.strip()) >= 7


def test_no_label_of_the_vans_diagram_is_cut(van_drawn):
    words = flat("".join(page.extract_text() for page in van_drawn))
    for op in some(op for op in van().into.operations if op.part):
        assert all(flat(word) in words for word in part_words(van().machine, op.part).split())
    for page in van_drawn:
        for char in some(page.chars):
            assert char.x0 >= 15
            assert char.x1 <= page.width - 15


def test_words_stay_inside_their_frames(van_drawn):
    """No upright line of a frame goes through a letter of the box's own words."""
    van_page = max(van_drawn, key=lambda page: len(page.chars))
    upright = [line for line in van_page.strokes if line.width < 0.2 and line.height > 4]
    assert len(upright) > 40
    struck = [
        char.text
        for char in van_page.chars
        for line in upright
        if line.top <= char.top + 1 and char.bottom - 1 <= line.bottom
        if char.x0 + 0.4 < line.x0 < char.x1 - 0.4
    ]
    assert struck == []


def test_a_whole_machine_comes_in_pages_that_name_each_other():
    machine = van().machine
    drawing = Drawing(machine, None, set(machine.parts))
    pages = by_position(drawing)
    assert len(pages) > 1
    assert set().union(*(page.keys for page in pages)) == set(drawing.by_key())
    dots = [dot_of(drawing, page) for page in pages]
    for dot in dots:
        assert boxes_of(dot) <= ABOUT + SOME_MORE
    plain = flat(re.sub(r"<[^>]*>|&#160;", " ", dots[0]))
    assert "(page2)" in plain


def test_each_arrow_between_two_pages_is_said_on_both():
    machine = van().machine
    drawing = Drawing(machine, None, set(machine.parts))
    pages = by_position(drawing)
    home = {key: page for page in pages for key in page.keys}
    beside = {id(page): drawing._beside(page) for page in pages}
    across = 0
    for arrow in drawing.arrows():
        tail, head = arrow.tail.partition(":")[0], arrow.head.partition(":")[0]
        if home[tail] is home[head]:
            continue
        assert any(line.startswith("clears") for line in beside[id(home[tail])][tail])
        assert any(line.startswith("after") for line in beside[id(home[head])][head])
        across += 1
    assert across


def test_a_page_for_each_sitting_holds_its_steps():
    job = van_in_sittings()
    drawing = Drawing(job.machine, job.into, set(job.machine.parts))
    pages = by_sitting(drawing, job.sittings_in)
    for number, sitting in enumerate(some(job.sittings_in), start=1):
        mine = [page for page in pages if f"sitting {number}" in page.title]
        dots = " ".join(dot_of(drawing, page) for page in mine)
        for step in sitting.steps:
            assert re.search(rf"\b[cs]?{step.number}\b", dots), step.operation.name


def test_one_sitting_alone_is_drawn_alone():
    job = van_in_sittings()
    one = sketch_sittings(job.into, job.sittings_in, 1, "dot", "t", DAY)
    both = sketch_sittings(job.into, job.sittings_in, None, "dot", "t", DAY)
    assert len(one) < len(both)
    assert b"sitting 2<" not in b"".join(one).replace(b"(sitting 2)", b"")


@before_landing
@pytest.mark.parametrize(
    "of", ["whole", "back", *counts(quick=(), landing=("sittings",), nightly=("sittings",))]
)
def test_every_drawing_of_the_van_is_legible_on_paper(of):
    job = van_in_sittings()
    if of == "back":
        svgs = back_for_paper(job.back)
    elif of == "sittings":
        svgs = for_sheet(job.into, job.sittings_in)
    else:
        (pdf,) = sketch(job.machine, None, "pdf", "t", DAY)
        letters = [char.size for page in pages_of(pdf) for char in page.chars if char.text.strip()]
        assert min(letters) >= 7
        return
    assert min(map(smallest_text, svgs)) >= 7


def test_the_way_back_has_every_step_and_a_bar_for_every_gate_that_closes():
    job = pump()
    text = " ".join(flow(job.back))
    plain = flat(re.sub(r"<[^>]*>|&#160;", " ", text))
    for gate in some(gate for gate in job.back.gates if gate.last_step):
        part, _, name = gate.joint.partition("/")
        assert f"Not on to step {gate.last_step} before" in text
        assert flat(f"{gate.step} {joint_words(job.machine, part, name)}") in plain
        assert flat(stages_words(job.machine.joint(part, name))) in plain
    numbers = set()
    for first, last in re.findall(r"<b>(?:&#160;)*(\d+)(?:–(\d+))?", text):
        numbers |= set(range(int(first), int(last or first) + 1))
    assert numbers >= {step.number for step in job.back.steps}


def test_a_bar_stands_before_what_it_keeps_waiting():
    job = pump()
    plain = flat(re.sub(r"<[^>]*>|&#160;", " ", " ".join(flow(job.back))))
    gate = next(gate for gate in job.back.gates if gate.last_step)
    bar = plain.index(f"Notontostep{gate.last_step}before")
    assert (
        plain.index(flat(job.back.machine.parts[gate.joint.split("/")[0]].label or gate.joint.split("/")[0]))
        < bar
    )


def test_loosened_and_moved_parts_are_told_apart_without_colour():
    dot = dot_of(Drawing(pump().machine, pump().into, set(pump().machine.parts)))
    assert 'style="dashed"' in dot
    assert "(aside)" in re.sub(r"<[^>]*>", "", dot)
    assert "(loose)" in re.sub(r"<[^>]*>", "", dot)
    assert set(re.findall(r'color="(#[0-9a-f]+)"', dot)) <= {"#000000", "#8a8a8a", "#303030", "#606060"}


@before_landing
@pytest.mark.parametrize("form", ["svg", "png", "pdf", "dot"])
def test_every_form_is_what_it_is_called(form):
    begin = {"svg": b"<?xml", "png": b"\x89PNG", "pdf": b"%PDF", "dot": b"digraph"}[form]
    job = pump()
    assert all(page.startswith(begin) for page in sketch(job.machine, job.into, form, "t", DAY))
    assert all(page.startswith(begin) for page in sketch_back(job.back, form, "t", DAY))


@pytest.mark.parametrize("which", FEW_NAMES)
def test_odd_names_are_whole_in_every_drawing(which):
    job = odd(which)
    for dot in (dot_of(Drawing(job.machine, job.into, set(job.machine.parts)), None, FONT), *flow(job.back)):
        page = drawn(paper_svg(dot))
        shown = flat("".join(text["words"] for text in page["texts"]))
        if which in ("markup", "long", "words", "formula"):
            assert flat(NAMES[which]) in shown
        assert page["texts"]


def test_words_of_a_drawing_are_placed_where_the_drawing_has_them():
    page = drawn(paper_svg('digraph { graph [size="11.3,7.9"] a [label="first"] b [label="second"] a -> b }'))
    first, second = page["texts"]
    assert first["words"] == "first"
    assert first["y"] < second["y"]
    assert 0 < first["x"] < page["width"]
    assert 0 < second["y"] < page["height"]
    assert "<text" not in page["svg"]


def test_pictures_have_the_head_of_our_paper():
    (pdf,) = pictures([paper_svg("digraph { a }")], "The job", DAY, "pdf", "letter")
    text = pages_of(pdf)[0].extract_text()
    assert "The job" in text
    assert "2026-12-05" in text
    assert "page 1 of 1" in text
