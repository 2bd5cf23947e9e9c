"""What stands on the pages of a PDF and where, as pdfium reads it: each page only as far as a test looks."""

import ctypes
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from math import hypot

import pypdfium2
from pypdfium2 import raw


@dataclass(frozen=True)
class Mark:
    """A letter or a stroke; in points from the left and from the top."""

    x0: float
    top: float
    x1: float
    bottom: float
    text: str = ""
    size: float = 0
    """Of a letter: that of its font; of a stroke: how heavy it is."""

    @property
    def width(self):
        return self.x1 - self.x0

    @property
    def height(self):
        return self.bottom - self.top


class Page:
    """A page, or what is in a box of it: ``(left, top, right, bottom)``."""

    def __init__(self, page, box=None):
        self._page = page
        self.width, self.height = page.get_size()
        self.box = box or (0, 0, self.width, self.height)

    @cached_property
    def _text(self):
        return self._page.get_textpage()

    def crop(self, box):
        return Page(self._page, box)

    def extract_text(self):
        left, top, right, bottom = self.box
        text = self._text.get_text_bounded(left, self.height - bottom, right, self.height - top)
        return text.replace("\ufffe", "-").replace("\x02", "-")

    @cached_property
    def chars(self):
        """Its letters, without those that only part two words."""
        return [char for _, char in self._chars()]

    @property
    def tight(self):
        """The same, each as far as its ink goes."""
        return [self._char(number, loose=False) for number, _ in self._chars()]

    def _chars(self):
        left, top, right, bottom = self.box
        for number in range(self._text.count_chars()):
            char = self._char(number)
            if char and left < char.x1 and char.x0 < right and top < char.bottom and char.top < bottom:
                yield number, char

    def _char(self, number, *, loose=True):
        if raw.FPDFText_IsGenerated(self._text, number):
            return None
        matrix, where = raw.FS_MATRIX(), self._text.get_charbox(number, loose=loose)
        raw.FPDFText_GetMatrix(self._text, number, matrix)
        size = raw.FPDFText_GetFontSize(self._text, number) * hypot(matrix.c, matrix.d)
        return self._mark(where, chr(raw.FPDFText_GetUnicode(self._text, number)), size)

    def font_of_the_first(self):
        """The name of the font of the letter in its upper left corner; ``None`` where there is no letter."""
        found = [(round(one.top), one.x0, number) for number, one in self._chars() if one.text.strip()]
        if not found:
            return None
        name = ctypes.create_string_buffer(200)
        raw.FPDFText_GetFontInfo(self._text, min(found)[-1], name, 200, ctypes.c_int())
        return name.value.decode()

    def _mark(self, where, text="", size=0.0):
        left, bottom, right, top = where
        return Mark(left, self.height - top, right, self.height - bottom, text, size)

    @cached_property
    def strokes(self):
        """Each straight piece of what is drawn on the page."""
        return [one for path in self._paths() for one in self._strokes(path)]

    def _paths(self):
        return self._page.get_objects([raw.FPDF_PAGEOBJ_PATH])

    def _strokes(self, path):
        matrix, heavy = path.get_matrix(), ctypes.c_float()
        raw.FPDFPageObj_GetStrokeWidth(path, heavy)
        for one, other in pairwise(_corners(path)):
            if one is not None and other is not None:
                (x0, y0), (x1, y1) = (matrix.on_point(*corner) for corner in (one, other))
                where = min(x0, x1), min(y0, y1), max(x0, x1), max(y0, y1)
                yield self._mark(where, size=heavy.value * hypot(matrix.c, matrix.d))

    @cached_property
    def frames(self):
        """Each rectangle."""
        return _rectangles(list(self._strokes(one)) for one in self._paths())

    @cached_property
    def drawn(self):
        """The strokes of each path whose line is drawn, not only its inside, and not in dots."""
        return [list(self._strokes(one)) for one in self._paths() if _is_drawn(one)]

    @property
    def lines(self):
        """Each straight piece of a line that is drawn."""
        return [stroke for path in self.drawn for stroke in path]

    @property
    def boxes(self):
        """Each rectangle whose line is drawn."""
        return _rectangles(self.drawn)


def _rectangles(paths):
    return [_around(one) for one in paths if len(one) in (4, 5)]


def _is_drawn(path):
    fill, stroke = ctypes.c_int(), ctypes.c_int()
    raw.FPDFPath_GetDrawMode(path, fill, stroke)
    return bool(stroke.value) and raw.FPDFPageObj_GetDashCount(path) <= 0


def _around(strokes):
    return Mark(
        min(one.x0 for one in strokes),
        min(one.top for one in strokes),
        max(one.x1 for one in strokes),
        max(one.bottom for one in strokes),
    )


def _corners(path):
    """The points of a path's straight pieces in their order; ``None`` where the pen is lifted or bends."""
    start = None
    for number in range(raw.FPDFPath_CountSegments(path)):
        segment = raw.FPDFPath_GetPathSegment(path, number)
        x, y = ctypes.c_float(), ctypes.c_float()
        raw.FPDFPathSegment_GetPoint(segment, x, y)
        kind = raw.FPDFPathSegment_GetType(segment)
        if kind == raw.FPDF_SEGMENT_BEZIERTO:
            yield None
        if kind == raw.FPDF_SEGMENT_MOVETO:
            start = x.value, y.value
            yield None
        yield x.value, y.value
        if raw.FPDFPathSegment_GetClose(segment):
            yield start


def pages_of(pdf):
    return [Page(page) for page in pypdfium2.PdfDocument(pdf)]
