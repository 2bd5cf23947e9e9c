"""Photos come out small, upright and with nothing but the picture in them."""

from io import BytesIO

import pytest
from PIL import Image

from sequencer.errors import SequencerError
from sequencer.job.now.photos import LONGEST_SIDE, reencoded
from tests.support.profile import before_landing


def picture(kind="JPEG", size=(3000, 2000), exif=None):
    image = Image.new("RGB", size, "white")
    image.paste((200, 0, 0), (0, 0, size[0] // 2, size[1] // 2))
    out = BytesIO()
    image.save(out, kind, **({"exif": exif} if exif else {}))
    return out.getvalue()


def tagged():
    exif = Image.Exif()
    exif[0x0112] = 6  # turn a quarter to the right (EXIF 2.32, Orientation)
    exif[0x010F] = "SECRET-MAKER"
    exif.get_ifd(0x8825)[1] = "N"  # GPSLatitudeRef
    exif.get_ifd(0x8825)[2] = (51.0, 28.0, 38.0)
    return picture(exif=exif)


@before_landing
def test_place_and_device_do_not_survive():
    sent = tagged()
    assert b"SECRET-MAKER" in sent
    kept = reencoded(sent)
    assert b"SECRET-MAKER" not in kept
    assert dict(Image.open(BytesIO(kept)).getexif()) == {}


@before_landing
def test_it_is_turned_upright_and_made_small():
    kept = Image.open(BytesIO(reencoded(tagged())))
    assert kept.size == (round(LONGEST_SIDE * 2 / 3), LONGEST_SIDE)
    red, green, _ = kept.getpixel((kept.width - 50, 50))  # what was top left is top right now
    assert red > 150
    assert green < 60


@pytest.mark.parametrize("kind", ["PNG", "WEBP", "GIF"])
def test_other_kinds_of_picture_become_jpegs(kind):
    assert Image.open(BytesIO(reencoded(picture(kind, (40, 30))))).format == "JPEG"


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"<html><script>alert(1)</script>",
        picture()[:200],
        b"%PDF-1.4",
        b"\xff\xd8\xff\xe0" + b"\0" * 500,
    ],
)
def test_what_is_no_picture_is_refused_with_a_word(data):
    with pytest.raises(SequencerError, match="this photo can't be read"):
        reencoded(data)


@before_landing
def test_a_picture_that_unpacks_to_too_much_is_refused():
    large = BytesIO()
    Image.new("1", (9000, 9000)).save(large, "PNG")
    with pytest.raises(SequencerError):
        reencoded(large.getvalue())
