"""Photos of a job: drawn anew, so that nothing of the sent file survives but its picture."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

from sequencer.errors import SequencerError
from sequencer.machine.edit.atomic import cannot_write, replace_file

LONGEST_SIDE = 1600
"""Pixels: enough to read a part number off a photo of a hand's breadth."""

PIXELS_AT_MOST = 60_000_000
QUALITY = 82


def reencoded(data: bytes) -> bytes:
    """The picture as a new JPEG: upright, at most 1600 pixels long, without place, time or device.

    Raises:
        SequencerError: It is no picture that can be read, or too large to be unpacked.
    """
    from PIL import Image, ImageOps

    try:
        with Image.open(BytesIO(data), formats=("JPEG", "PNG", "WEBP", "GIF")) as sent:
            if sent.width * sent.height > PIXELS_AT_MOST:
                raise SequencerError("the photo has too many pixels", "send a smaller one")
            upright = ImageOps.exif_transpose(sent).convert("RGB")
    except (OSError, ValueError, SyntaxError, Image.DecompressionBombError) as fault:
        raise SequencerError("this photo can't be read here", "give a JPEG, PNG, WebP or GIF file") from fault
    upright.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
    plain = Image.new("RGB", upright.size)
    plain.paste(upright)
    out = BytesIO()
    plain.save(out, "JPEG", quality=QUALITY, optimize=True)
    return out.getvalue()


def keep_photo(folder: Path, name: str, data: bytes) -> str:
    """Put a photo into ``folder``, whole or not at all; returns its file name.

    Raises:
        SequencerError: It is no photo, or can't be written.
    """
    content = reencoded(data)
    file = f"{name}.jpg"
    try:
        folder.mkdir(exist_ok=True)
    except OSError as fault:
        raise cannot_write("the folder for photos", fault, verb="made") from fault
    replace_file(folder / file, content, "the photo")
    return file
