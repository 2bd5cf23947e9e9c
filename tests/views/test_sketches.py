"""Pictures of what blocks what: nothing meets what it should not, all is said, and the rest can be found."""

import re
from datetime import date
from functools import cache

import pytest

from sequencer.document.barring.made import barring
from sequencer.document.barring.things import Standing
from sequencer.document.steps.torques import stages_words
from sequencer.graph.operations import Because
from sequencer.graph.said import joint_words, part_words
from sequencer.machine.reading import read_text
from sequencer.render.paper.drawn import drawn
from sequencer.render.pictures.barring.cutting import PAPER, SCREEN, WHOLE
from sequencer.render.pictures.barring.letters import cut, width_of, wrapped
from sequencer.render.pictures.barring.pages import key_of, scenes, scenes_of_sittings
from sequencer.render.pictures.barring.scene import Dot, Stroke, Text, svg_of
from sequencer.render.pictures.flow import flow
from sequencer.render.pictures.on_paper import paper_svg, pictures, smallest_text
from sequencer.render.pictures.sketches import back_for_paper, for_sheet, sketch, sketch_back, sketch_sittings
from sequencer.render.sheet.sheet import sheet_pdf
from tests.support.profile import before_landing
from tests.support.some import some
from tests.views.paper_checker import faults_on
from tests.views.paper_jobs import FEW_NAMES, NAMES, flat, job, odd, pages_of, pump, van, van_in_sittings
from tests.views.picture_checker import faults_in

DAY = date(2026, 12, 5)


@cache
def large():
    """A machine of 300 parts, invented: each behind or trapped by some of the twenty before it."""
    kinds = ("behind", "trapped_by")
    parts = [
        f"  p{n}: {{label: Part number {n}, {kinds[n % 2]}: "
        f"[{', '.join(sorted({f'p{n - step}' for step in (1 + n % 7, 3 + n % 17) if step <= n}))}], "
        f"joints: {{b: {{kind: bolt, head: {8 + n % 9}, count: {1 + n % 4}}}}}}}"
        for n in range(300)
    ]
    return read_text("machine: Large one\nparts:\n" + "\n".join(parts)).machine


def one_part():
    return read_text("machine: Small one\nparts: {lid: {joints: {b: {kind: bolt, head: 10}}}}").machine


def forked():
    """Ten ways past one thing, and a choice of two beside it."""
    parts = "".join(f"  w{n}: {{joints: {{c: {{kind: clip, time: {n + 5} s}}}}}}\n" for n in range(12))
    ways = ", ".join(f"w{n}" for n in range(10))
    text = f"machine: Forked\nparts:\n{parts}  x:\n    behind: [{{any: [{ways}]}}, {{any: [w10, w11]}}]\n"
    return read_text(f"{text}    joints: {{b: {{kind: bolt, head: 10}}}}\n").machine


PICTURES = {
    "pump": lambda: barring(pump().machine, pump().into),
    "pump, whole": lambda: barring(pump().machine, None),
    "van": lambda: barring(van().machine, van().into),
    "van, whole": lambda: barring(van().machine, None),
    "300 parts": lambda: barring(large(), None),
    "one part": lambda: barring(one_part(), job(one_part(), "lid").into),
    "ways": lambda: barring(forked(), job(forked(), "x").into),
    **{
        name: lambda name=name: barring(odd(name).machine, odd(name).into)
        for name in ("long", "words", "hebrew", "arabic", "chinese", "thai", "emoji")
    },
}


def words_on(scene):
    return [item.words for item in scene.everything() if isinstance(item, Text)]


@cache
def pages_on(which, form=SCREEN):
    """The pages of a picture, laid out once for all that only look at them."""
    return scenes(PICTURES[which](), form)


LARGE = ("300 parts", "van", "van, whole")
"""What takes a second to lay out; the pump and the odd names are laid out at once."""


@pytest.mark.parametrize(
    "which", [pytest.param(one, marks=[before_landing] if one in LARGE else []) for one in PICTURES]
)
def test_nothing_meets_what_it_should_not(which):
    """No box touches another, no line runs through words or boxes, no letters under seven points on paper."""
    for scene in pages_on(which):
        assert list(faults_in(scene)) == []


@before_landing
@pytest.mark.parametrize("which", [one for one in PICTURES if one != "300 parts"])
def test_nothing_meets_what_it_should_not_on_the_sheet(which):
    for scene in pages_on(which, PAPER):
        assert list(faults_in(scene)) == []


@before_landing
def test_nothing_meets_what_it_should_not_in_a_drawing_without_pages():
    for which in ("pump", "van", "van, whole"):
        (scene,) = scenes(PICTURES[which](), WHOLE)
        assert [fault for fault in faults_in(scene) if not fault.startswith("letters")] == []


def test_the_checker_finds_what_is_wrong():
    (scene,) = scenes(PICTURES["pump"]())
    scene.groups[1].frame = scene.groups[0].frame
    words = next(item for item in scene.groups[2].items if isinstance(item, Text))
    scene.items.append(Stroke(((words.x, words.y - 2), (words.x + 40, words.y - 2)), net="odd"))
    scene.items.append(Dot(words.box.x + 3, words.box.y + 3, 2.2, filled=False))
    scene.items.append(Text(5, 5, "small", 4.0))
    scene.items.append(Text(9, 9, "pale", 9.0, light=True))
    found = " ".join(faults_in(scene))
    for fault in (
        "touch",
        f"a line through {words.words!r}",
        f"a ring on {words.words!r}",
        "the line from odd runs over",
        "letters of",
        "not seen",
    ):
        assert fault in found


@pytest.mark.parametrize("which", ["pump", pytest.param("van", marks=before_landing), "pump, whole"])
def test_every_relation_has_its_arrow_or_names_the_page_where_the_other_thing_is(which):
    picture = PICTURES[which]()
    pages = pages_on(which)
    asked = [(ask, way) for thing in picture.things.values() for _, ask in thing.waits() for way in ask.ways]
    asked = [(ask, way) for ask, way in asked if way.thing in picture.things]
    assert asked
    tips = sum(
        isinstance(item, Stroke) and bool(item.net) and (item.closed or item.heavy > 1)
        for scene in pages
        for item in scene.items
    )
    told = [
        item for scene in pages for group in scene.groups for item in group.items if isinstance(item, Text)
    ]
    named = [one for one in told if one.end and re.fullmatch(r"p \d+|above|below", one.words)]
    for_others = [one for one in told if one.slanted and one.words.startswith("for ")]
    bare = sum(ask.arrow == "none" for ask, _ in asked)
    assert len(asked) - bare <= tips + len(named) - len(for_others) <= len(asked)


def test_tasks_and_fluids_are_things_with_their_arrows():
    things = barring(pump().machine, pump().into).things
    assert things["drain water"].look is Standing.FLUID
    assert things["task hold-shaft"].look is Standing.WORK
    spills = [key for key, thing in things.items() for _, ask in thing.waits() if ask.phrase == "would spill"]
    assert spills == ["inlet-hose", "outlet-pipe", "cover"]
    assert [ask.phrase for _, ask in things["task hold-shaft"].waits()] == ["behind"], (
        "not when it is put away"
    )
    (first,) = barring(pump().machine, pump().into).first
    assert first.key == "task isolate"


def test_every_need_of_a_plan_is_in_its_picture():
    """A second way of counting: each pair that the graph joins is joined here, if only by way of others."""
    plan = van().into
    things = barring(plan.machine, plan).things
    before = {
        key: {way.thing for _, ask in thing.waits() for way in ask.ways} for key, thing in things.items()
    }

    def reached(key, seen):
        for other in before.get(key, ()):
            if other not in seen:
                seen.add(other)
                reached(other, seen)
        return seen

    names = {op.name: op for op in plan.operations}
    for op in plan.operations:
        for clause in plan.graph.needs.get(op.name, ()):
            done = [names[name] for name in clause.any_of if name in names]
            if clause.reason.kind in (Because.FIRST, Because.BACK) or not op.part or not done[0].part:
                continue
            if op.part != done[0].part:
                assert {one.part for one in done} & reached(op.part, set()), (op.name, clause)


def test_ways_of_one_choice_are_one_bundle_and_the_one_taken_is_told_apart():
    (scene,) = scenes(PICTURES["ways"]())
    words = words_on(scene)
    assert words.count("behind one of 10:") == 1
    assert words.count("behind one of 2:") == 1
    aim = next(group for group in scene.groups if group.key.startswith("x@"))
    slanted = [item.words for item in aim.items if isinstance(item, Text) and item.slanted]
    assert len(slanted) == 10, "nine and one were not taken"
    assert sum(isinstance(item, Dot) and not item.filled for item in aim.items) == 10
    assert "would do as well, not taken" in words


def test_the_aim_is_largest_and_each_level_is_a_step_further_out():
    picture = PICTURES["pump"]()
    (scene,) = scenes(picture)
    sizes = {item.words: item.size for item in scene.everything() if isinstance(item, Text)}
    assert max(sizes, key=sizes.get) == "Shaft seal"
    left = {group.key: group.frame.x for group in scene.groups}
    assert left["seal@bench"] < left["impeller@bench"] < left["cover@bench"]
    assert [word for word in words_on(scene) if "out" in word.split()] == [
        "1 step out", *(f"{n} steps out" for n in range(2, 7))
    ]  # fmt: skip


def test_an_arrow_ends_at_the_joint_that_waits():
    (scene,) = scenes(PICTURES["pump"]())
    impeller = next(group for group in scene.groups if group.key == "impeller@bench")
    line = next(
        one for one in impeller.items if isinstance(one, Text) and one.words.startswith("after Spanner")
    )
    tips = [
        item.points[0]
        for item in scene.items
        if isinstance(item, Stroke) and "task hold-shaft" in item.net and item.closed
    ]
    ((x, y),) = tips
    assert y == pytest.approx(line.y - 0.34 * line.size, abs=0.01)
    assert 0 < x - impeller.frame.right < 2


def test_every_step_and_part_of_a_plan_is_in_its_picture():
    for plan in (pump().into, van().into):
        words = " ".join(word for scene in scenes(barring(plan.machine, plan)) for word in words_on(scene))
        for step in some(plan.steps):
            assert re.search(rf"\b[cs]?{step.number}\b", words), step.operation.name
            if step.operation.part:
                name = part_words(plan.machine, step.operation.part)
                assert all(word in words for word in name.split())


def test_pages_name_each_other_and_each_name_is_right():
    picture = PICTURES["van, whole"]()
    pages = pages_on("van, whole")
    assert len(pages) > 1
    home = {}
    for number, scene in enumerate(pages, start=1):
        for group in scene.groups:
            home.setdefault(group.key, number)
    assert home.keys() == {key_of(thing) for thing in picture.things.values()}
    for scene in some(pages):
        for group in scene.groups:
            thing = next(one for one in picture.things.values() if key_of(one) == group.key)
            asked = {home[key_of(picture.things[way.thing])] for _, ask in thing.waits() for way in ask.ways}
            for item in group.items:
                if isinstance(item, Text) and item.page is not None:
                    assert item.words == f"p {item.page}"
                    assert item.page in asked or any(
                        isinstance(one, Text) and one.y == item.y and one.words.startswith("for ")
                        for one in group.items
                    ), (group.key, item.words)


@before_landing
def test_the_sheets_drawings_name_the_sheets_own_pages():
    job = van_in_sittings()
    svgs = for_sheet(job.into, job.sittings_in)
    pages = pages_of(sheet_pdf(job, svgs))
    first = len(pages) - len(svgs) + 1
    named = [int(n) for page in pages[first - 1 :] for n in re.findall(r"\bp (\d+)\b", page.extract_text())]
    assert named
    assert min(named) >= first
    assert max(named) <= len(pages)


@before_landing
@pytest.mark.parametrize("which", ["pump", "van", "hebrew"])
def test_a_printed_picture_is_as_clean_as_it_was_laid_out(which):
    made = {"pump": pump, "van": van, "hebrew": lambda: odd("hebrew")}[which]()
    (pdf,) = sketch(made.machine, made.into, "pdf", "t", DAY)
    for page in pages_of(pdf):
        assert list(faults_on(page, 7)) == []


@before_landing
def test_a_page_for_each_sitting_holds_its_steps():
    job = van_in_sittings()
    picture = barring(job.machine, job.into)
    for number, sitting in enumerate(some(job.sittings_in), start=1):
        steps = [frozenset(step.number for step in one.steps) for one in job.sittings_in]
        mine = scenes_of_sittings(picture, steps, number)
        assert all(f"sitting {number}" in scene.title for scene in mine)
        assert all(re.search(r"the job|\d+ steps? out", " ".join(words_on(scene))) for scene in mine)
        words = " ".join(word for scene in mine for word in words_on(scene))
        for step in sitting.steps:
            if not any(step.number in thing.steps for thing in picture.first):
                assert re.search(rf"\b[cs]?{step.number}\b", words), step.operation.name


def test_one_sitting_alone_is_drawn_alone():
    job = van_in_sittings()
    one = sketch_sittings(job.into, job.sittings_in, 1, "dot", "t", DAY)
    both = sketch_sittings(job.into, job.sittings_in, None, "dot", "t", DAY)
    assert len(one) == 1 < len(both)
    assert one[0] == both[0]


@before_landing
def test_the_way_back_of_the_van_is_legible_on_paper():
    assert min(map(smallest_text, back_for_paper(van_in_sittings().back))) >= 7


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


def test_frames_and_lines_are_told_apart_without_colour():
    svg = svg_of(scenes(PICTURES["pump"]())[0])
    assert set(re.findall(r'(?:stroke|fill)="([^"]+)"', svg)) <= {"black", "white", "none"}
    assert "Motor (loose)" in svg
    assert "Outlet pipe (aside)" in svg
    assert "stroke-dasharray" in svg


def test_the_legend_is_drawn_and_has_what_the_page_has():
    (one,) = scenes(PICTURES["one part"]())
    assert "what the job is for" in words_on(one)
    assert not {"only moved", "fluid to drain", "keeps it from coming away"} & set(words_on(one))
    (pump_page,) = scenes(PICTURES["pump"]())
    assert {"only moved", "fluid to drain", "keeps it from coming away", "cracks it"} <= set(
        words_on(pump_page)
    )
    assert not any(isinstance(item, Dot) and not item.filled for item in one.items)


ON_PAGE = {
    "moves first, or is done first": lambda lines: any(one.closed and len(one.points) == 3 for one in lines),
    "keeps it from coming away": lambda lines: any(one.heavy > 1 for one in lines),
}
"""Heads of arrows: what their sample says, and how the lines of a page show them."""


@pytest.mark.parametrize(
    "which", ["pump", "ways", "one part", pytest.param("van, whole", marks=before_landing)]
)
def test_the_legend_has_nothing_that_the_page_has_not(which):
    picture = PICTURES[which]()
    for scene in pages_on(which):
        lines = [item for item in scene.items if isinstance(item, Stroke) and item.net]
        legend = {item.words for item in scene.items if isinstance(item, Text)}
        for words, shown in ON_PAGE.items():
            assert (words in legend) is shown(lines), words
        told = [item for group in scene.groups for item in group.items if isinstance(item, Text)]
        letters = {one.words for one in told if one.bold and one.end and re.fullmatch("[A-Z]", one.words)}
        if picture.places:
            assert {word for word in legend if re.fullmatch("[A-Z]", word)} == letters


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
    svgs = [*map(svg_of, scenes(barring(job.machine, job.into))), *map(paper_svg, flow(job.back))]
    for page in map(drawn, svgs):
        shown = flat("".join(text["words"] for text in page["texts"]))
        if which in ("markup", "long", "words", "formula"):
            assert flat(NAMES[which]) in shown
        assert page["texts"]


def test_words_have_their_room_and_are_cut_between_signs():
    assert wrapped("one two three", 40, 8.5) == ["one two", "three"]
    assert all(width_of(line, 8.5) <= 30 for line in wrapped("w" * 30, 30, 8.5))
    assert "".join(wrapped("水泵轴承水泵轴承", 30, 8.5)) == "水泵轴承水泵轴承"
    assert cut("Timing backplate: head screws", 60, 8.5).endswith("…")
    assert width_of(cut("Timing backplate: head screws", 60, 8.5), 8.5) <= 60
    assert wrapped("Drain oil, 5.2 L", width_of("Drain oil, 5.2", 8.5) + 1, 8.5) == ["Drain oil,", "5.2 L"]
    state = cut("trapped by Speed sensor cable (aside)", 120, 8.5)
    assert state.endswith("… (aside)")
    assert width_of(state, 8.5) <= 120


def test_reasons_that_begin_alike_are_told_apart():
    parts = "".join(
        f"  v{n}: {{label: 'Filling valve of the outer lane, number {n}', joints: {{c: {{kind: clip}}}}}}\n"
        for n in (1, 2)
    )
    text = f"machine: Filler\nparts:\n{parts}  tank: {{behind: [v1, v2], joints: {{b: {{kind: clip}}}}}}\n"
    machine = read_text(text).machine
    (scene,) = scenes(barring(machine, job(machine, "tank").into))
    tank = next(group for group in scene.groups if group.key.startswith("tank@"))
    said = " ".join(item.words for item in tank.items if isinstance(item, Text))
    assert "lane, number 1" in said
    assert "lane, number 2" in said
    assert list(faults_in(scene)) == []


def test_a_joint_behind_another_of_its_own_part_says_so():
    text = (
        "machine: Clutch\nparts:\n  sleeve:\n    joints:\n      pins: {kind: clip}\n"
        "      ring: {kind: clip, behind: [sleeve/pins]}\n"
    )
    machine = read_text(text).machine
    for plan in (job(machine, "sleeve").into, None):
        assert [row.words for row in barring(machine, plan).things["sleeve"].rows] == [
            "pins",
            "ring, behind pins",
        ]


def test_a_joint_of_its_own_part_that_would_do_as_well_is_named():
    """Both ways are said, whichever of them the plan takes."""
    text = (
        "machine: Clutch\nparts:\n  fork: {joints: {bolt: {kind: bolt, head: 13}}}\n  sleeve:\n    joints:\n"
        "      pins: {kind: clip}\n      ring: {kind: clip, behind: [{any: [sleeve/pins, fork]}]}\n"
    )
    machine = read_text(text).machine
    for plan, taken in ((job(machine, "sleeve").into, [True, False]), (None, [False, False])):
        picture = barring(machine, plan)
        (ask,) = picture.things["sleeve"].rows[1].asks
        assert [way.words for way in ask.ways] == ["pins", "fork"]
        assert [way.taken for way in ask.ways] == taken
        (scene,) = scenes(picture)
        assert "behind one of 2:" in words_on(scene)
        assert list(faults_in(scene)) == []


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
