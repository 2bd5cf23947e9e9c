"""Tags say what is in the bag, stand where the numbers of their sheet say, and their codes can be read."""

import io
import tomllib
from importlib import resources

import pypdfium2
import pytest
import zxingcpp

from sequencer.document.addresses import step_path, step_url
from sequencer.errors import SequencerError
from sequencer.graph.said import joint_words
from sequencer.job.now.bags import needs_bag
from sequencer.render.tags.stock import DEFAULT, stock_named
from sequencer.render.tags.tags import bag_tags, code_svg, pair_labels, tags_pdf
from tests.support.profile import before_landing, counts
from tests.views.paper_jobs import FEW_NAMES, NAMES, NO_GLYPH, flat, glyphs_in, odd, pages_of, pump, van

BASE = "http://bench.local:8000"
MM = 72 / 25.4
"""Points to a millimetre."""

STOCKS = list(
    tomllib.loads(
        resources.files("sequencer.render.tags").joinpath("data/stock.toml").read_text(encoding="utf-8")
    )
)


SOON = counts(quick=STOCKS[:1], landing=STOCKS, nightly=STOCKS)


def sheet(job, stock, limit=None):
    tags = [*bag_tags(job, BASE), *pair_labels(job, BASE)][:limit]
    return tags, tags_pdf(job, tags, stock_named(stock))


def codes(pdf):
    """What an independent reader makes of every code on every page: (text, page, left, top) in points."""
    found = []
    document = pypdfium2.PdfDocument(pdf)
    for number, page in enumerate(document):
        picture = page.render(scale=3).to_pil()
        for code in zxingcpp.read_barcodes(picture, formats=zxingcpp.BarcodeFormat.QRCode):
            corner = code.position.top_left
            found.append((code.text, number, corner.x / 3, corner.y / 3))
    return found


def test_there_are_three_sizes_and_plain_paper_is_the_default():
    assert len(STOCKS) == 3
    assert DEFAULT in STOCKS
    assert stock_named(DEFAULT).cut
    assert stock_named(DEFAULT).page == (210, 297)


@pytest.mark.parametrize("stock", SOON)
def test_every_code_is_read_back_as_the_address_of_its_step(stock):
    tags, pdf = sheet(van(), stock, 26)
    assert sorted(text for text, *_ in codes(pdf)) == sorted(tag.code for tag in tags)


@before_landing
@pytest.mark.parametrize("stock", SOON)
def test_without_a_server_the_codes_say_what_the_tag_is_for(stock):
    job = pump()
    tags = bag_tags(job)
    pdf = tags_pdf(job, tags, stock_named(stock))
    assert sorted(text for text, *_ in codes(pdf)) == sorted(tag.code for tag in tags)
    first = tags[0].code.splitlines()
    assert first == [tags[0].mark.capitalize(), tags[0].what, job.machine.name]
    assert not any("http" in tag.code for tag in tags)


@before_landing
@pytest.mark.parametrize("which", ["long", "words"])
def test_words_of_any_length_make_a_code_that_can_be_read(which):
    job = odd(which)
    tags = [*bag_tags(job), *pair_labels(job)][:4]
    smallest = min(STOCKS, key=lambda name: stock_named(name).label)
    assert {text for text, *_ in codes(tags_pdf(job, tags, stock_named(smallest)))} == {
        tag.code for tag in tags
    }


PAGES = counts(quick=1, landing=2, nightly=2)


@pytest.mark.parametrize("stock", SOON)
def test_tags_stand_where_the_numbers_say(stock):
    """The frame of each mark is the same distance from the corner of its label: within 0.2 mm."""
    size = stock_named(stock)
    _, pdf = sheet(van(), stock, PAGES * size.columns * size.rows)
    for page in pages_of(pdf):
        frames = sorted((one for one in page.frames if one.height > 10), key=lambda one: (one.top, one.x0))
        assert len(frames) == size.columns * size.rows
        inset = frames[0].x0 / MM - size.margin[0], frames[0].top / MM - size.margin[1]
        assert 0 < inset[0] < 4
        assert 0 < inset[1] < 4
        for frame, (left, top) in zip(frames, size.places, strict=True):
            assert frame.x0 / MM == pytest.approx(left + inset[0], abs=0.2)
            assert frame.top / MM == pytest.approx(top + inset[1], abs=0.2)
        assert (float(page.width) / MM, float(page.height) / MM) == pytest.approx(size.page, abs=0.2)


@before_landing
def test_cut_marks_point_at_the_corners_of_each_tag():
    size = stock_named(DEFAULT)
    _, pdf = sheet(van(), DEFAULT, 10)
    lines = [
        line
        for line in pages_of(pdf)[0].strokes
        if line.size == pytest.approx(0.4) and max(line.width, line.height) < 2 * MM
    ]
    assert len(lines) == 8 * 10
    for left, top in size.places:
        for x in (left, left + size.label[0]):
            for y in (top, top + size.label[1]):
                flat_marks = [m for m in lines if m.height < 0.1 and abs(m.top / MM - y) < 0.2]
                assert any(min(abs(m.x0 / MM - x), abs(m.x1 / MM - x)) < 0.6 for m in flat_marks)


@pytest.mark.parametrize("stock", SOON)
@pytest.mark.parametrize("which", ["long", *counts(quick=(), landing=("words",), nightly=("words",))])
def test_nothing_is_set_beyond_its_label(stock, which):
    size = stock_named(stock)
    _, pdf = sheet(odd(which), stock)
    boxes = [(x * MM, y * MM, (x + size.label[0]) * MM, (y + size.label[1]) * MM) for x, y in size.places]
    for page in pages_of(pdf):
        for char in page.chars:
            assert any(
                left - 1 <= char.x0
                and char.x1 <= right + 1
                and top - 1 <= char.top
                and char.bottom <= low + 1
                for left, top, right, low in boxes
            ), char.text


def test_every_joint_that_leaves_something_to_keep_has_a_bag_and_its_count():
    job = van()
    wanted = [
        op
        for op in job.into.operations
        if op.joint and op.name == f"undo {op.subject}" and needs_bag(job.machine.joint(op.part, op.joint))
    ]
    tags = bag_tags(job, BASE)
    assert [tag.code for tag in tags] == [step_url(BASE, op.name) for op in wanted]
    for tag, op in zip(tags, wanted, strict=True):
        assert tag.details.startswith(f"{job.machine.joint(op.part, op.joint).count} × ")
        assert tag.what == joint_words(job.machine, op.part, op.joint)
        assert job.machine.positions[op.position].label in tag.where


def test_labels_come_in_pairs_with_one_mark():
    pairs = pair_labels(van(), BASE)
    assert pairs
    for one, other in zip(pairs[::2], pairs[1::2], strict=True):
        assert one.mark == other.mark
        assert {one.side, other.side} == {"stays", "comes away"}
    marks = [tag.mark for tag in pairs[::2]]
    assert len(set(marks)) == len(marks)


@before_landing
@pytest.mark.parametrize("which", FEW_NAMES)
def test_odd_names_are_on_the_tag(which):
    _, pdf = sheet(odd(which), DEFAULT)
    signs = glyphs_in(pdf)
    assert NO_GLYPH.isdisjoint(signs)
    if which in ("markup", "long", "formula"):
        assert flat(NAMES[which])[:60] in flat(pages_of(pdf)[0].crop((0, 0, 200, 200)).extract_text())


def test_a_path_of_a_step_is_the_one_of_the_bench_page():
    from sequencer.bench.pages.answers import step_path as theirs

    for op in ("undo guard/screws", "task time-up", "undo a%b/ü#?"):
        assert theirs(op) == step_path(op)


def test_the_code_has_its_quiet_zone():
    """ISO/IEC 18004 asks for four modules; the picture is that much larger than the code on each side."""
    import re

    import segno

    svg = code_svg("http://a/step/undo%20b")
    width = int(re.search(r'width="(\d+)"', svg)[1])
    assert width == segno.make("http://a/step/undo%20b", error="m", micro=False).symbol_size(border=0)[0] + 8


def write(tmp_path, **changes):
    numbers = {
        "page": "[210, 297]", "columns": "2", "rows": "2", "label": "[90, 50]", "pitch": "[95, 55]",
        "margin": "[10, 10]",
    } | changes  # fmt: skip
    path = tmp_path / "mine.toml"
    path.write_text("[mine]\n" + "\n".join(f"{key} = {value}" for key, value in numbers.items()))
    return path


def test_a_sheet_of_ones_own_is_read_from_a_file(tmp_path):
    path = write(tmp_path)
    assert stock_named(str(path)).places == ((10, 10), (105, 10), (10, 65), (105, 65))
    assert stock_named(f"{path}:mine").name == "mine"


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"columns": "3"}, "need 290 mm"),
        ({"rows": "0"}, "1 to 100"),
        ({"pitch": "[80, 55]"}, "overlap"),
        ({"label": "[30, 50]"}, "holds too little"),
        ({"page": "210"}, "two numbers"),
        ({"margin": "[1, true]"}, "two numbers"),
        ({"rows": "]"}, "mine.toml"),
    ],
)
def test_numbers_that_do_not_fit_together_are_refused(changes, told, tmp_path):
    with pytest.raises(SequencerError, match=told):
        stock_named(str(write(tmp_path, **changes)))


@pytest.mark.parametrize("name", ["nothing", "nothing.toml"])
def test_an_unknown_sheet_is_refused_with_those_there_are(name):
    with pytest.raises(SequencerError, match=r"plain-a4, a4-24, letter-10"):
        stock_named(name)


def test_a_job_with_bags_alone_has_tags(tmp_path):
    assert bag_tags(pump(), BASE)
    assert io.BytesIO(sheet(pump(), DEFAULT)[1]).getvalue().startswith(b"%PDF")
