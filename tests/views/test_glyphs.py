"""Signs that the fonts at hand lack are spelt out, and nothing is ever printed as an empty box."""

import pytest

from sequencer.render.paper import glyphs
from sequencer.render.paper.glyphs import Glyphs, breakable, legible, spelt
from sequencer.render.pictures.on_paper import paper_svg, pictures
from sequencer.render.pictures.sketches import for_sheet
from sequencer.render.sheet.sheet import sheet_pdf
from tests.support.profile import before_landing, counts
from tests.views.paper_jobs import DAY, FEW_NAMES, NAMES, NO_GLYPH, flat, glyphs_in, odd, pages_of, van_sheet


@pytest.fixture
def no_fonts(monkeypatch):
    """A machine on which no font is installed."""
    real = glyphs._missing

    def only_our_own(signs, *, system_fonts):
        return real(signs, system_fonts=False)

    monkeypatch.setattr(glyphs, "_missing", only_our_own)


def test_a_missing_glyph_can_be_seen_in_the_text_of_a_pdf():
    import typst

    pdf = typst.compile("A汉".encode(), ignore_system_fonts=True)
    assert NO_GLYPH.intersection(glyphs_in(pdf))


@pytest.mark.parametrize("which", FEW_NAMES)
def test_no_glyph_is_missing_on_a_sheet_on_this_machine(which):
    job = odd(which)
    assert NO_GLYPH.isdisjoint(glyphs_in(sheet_pdf(job, for_sheet(job.into, job.sittings_in))))


OTHER_FONTS = counts(
    quick=("emoji",), landing=("thai", "chinese", "emoji"), nightly=("thai", "chinese", "emoji")
)


@before_landing
@pytest.mark.parametrize("which", OTHER_FONTS)
def test_no_glyph_is_missing_where_no_font_is_installed(which, no_fonts):
    job = odd(which)
    pdf = sheet_pdf(job, for_sheet(job.into, job.sittings_in))
    assert NO_GLYPH.isdisjoint(glyphs_in(pdf))
    first = next(sign for sign in NAMES[which] if sign.isprintable())
    assert f"U+{ord(first):04X}" in flat(pages_of(pdf)[1].extract_text())


@before_landing
def test_no_glyph_is_missing_on_the_sheet_of_the_van():
    assert NO_GLYPH.isdisjoint(glyphs_in(van_sheet()))


def test_our_own_signs_need_no_font_of_the_machine():
    _, system_fonts = legible({"text": "×·–→~²✓°"})
    assert not system_fonts


def test_signs_are_spelt_by_code_point_and_one_alone_by_its_name():
    assert spelt("🚗") == "[U+1F697 automobile]"
    assert spelt("水泵") == "[U+6C34 U+6CF5]"
    assert spelt("🛠\ufe0f") == "[U+1F6E0 hammer and wrench]"


def test_a_sign_for_private_use_is_spelt_whatever_a_font_shows_for_it():
    assert Glyphs(["a\ue000b"]).shown("a\ue000b") == "a[U+E000]b"


def test_a_mark_stays_with_its_letter(no_fonts):
    assert Glyphs(["e\u0301x"]).shown("e\u0301x") == "e\u0301x"


def test_only_overlong_words_may_be_broken():
    assert breakable("air-conditioning compressor") == "air-conditioning compressor"
    assert breakable("w" * 30) == "\u200b".join(["w" * 8, "w" * 8, "w" * 8, "w" * 6])


def test_pictures_under_their_key_are_left_alone():
    fit, _ = legible({"svg": "<a>\x1b</a>", "x": ["a\nb"]}, frozenset({"svg"}))
    assert fit == {"svg": "<a>\x1b</a>", "x": ["a b"]}


@before_landing
@pytest.mark.parametrize("which", ["hebrew", "emoji", "thai", "markup"])
def test_a_drawing_on_paper_shows_every_sign(which):
    svgs = for_sheet(odd(which).into, ())
    (pdf,) = pictures(svgs, "job", DAY, "pdf")
    assert NO_GLYPH.isdisjoint(glyphs_in(pdf))


def test_a_drawing_says_what_no_font_can_show(no_fonts):
    svg = paper_svg('digraph { a [label="🚗"] }')
    assert "[U+1F697 automobile]" in svg
