"""Documents for paper as PDF: a page frame with numbers, wrapped text, tables that go on over pages.

Drawn straight on the page, without a layout engine, so that thousands of sheets take seconds. Measures are points
(72 an inch) from the page's upper left corner, downwards. The same content makes the same bytes: a file tells
neither when nor where it was made.
"""

import io
import unicodedata
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from itertools import groupby
from weakref import WeakKeyDictionary

from reportlab.lib.pagesizes import A4, letter
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

INCH = 72.0
SIZES = {"letter": letter, "a4": A4}
LEADING = 1.25  # of the type's size
FOOT = 8.0
GREY, BLACK = 0.45, 0.0
_FONT = "Arimo"
_BOLDER = (
    0.035  # stroke around the letters, of the type's size: the font's file draws its regular weight alone
)
_REMEMBERED = 20_000  # texts of a document
# Marks that the font lacks and that have one beside it with the same meaning.
_STAND_INS = {
    "✓": "√",
    "✔": "√",
    "☐": "□",
    "☑": "[x]",
    "☒": "[x]",
    "▸": "►",
    "\u202f": "\u00a0",
    "\u2011": "-",
}


class _RememberingFont(TTFont):
    """Remembers which of its characters a text takes in a document: the same words stand on page after page."""

    def __init__(self, *args, **how):
        super().__init__(*args, **how)
        self._split = WeakKeyDictionary()

    def splitString(self, text, doc, encoding="utf-8"):
        known = self._split.setdefault(doc, {})
        if text in known:
            return known[text]
        parts = super().splitString(text, doc, encoding)
        if len(known) < _REMEMBERED:
            known[text] = parts
        return parts


@lru_cache(maxsize=1)
def _font():
    """The font, which is embedded as far as a document uses it: Latin, Greek, Cyrillic, signs and arrows."""
    path = files("fontpkg_arimo") / "files" / "Arimo[wght].ttf"
    font = _RememberingFont(_FONT, str(path))
    pdfmetrics.registerFont(font)
    return font


@lru_cache(maxsize=50_000)
def printable(text):
    """The text as the font can show it; a character that it lacks is given by its number, as in [U+4E2D].

    Examples
    --------
    >>> printable("Rosé ✓ 中")
    'Rosé √ [U+4E2D]'
    """
    if text.isascii() and text.isprintable():
        return text
    return "".join(map(_shown, unicodedata.normalize("NFC", text)))


@lru_cache(maxsize=10_000)
def _shown(mark):
    """One character as the font can show it."""
    kind = unicodedata.category(mark)
    if kind in ("Cc", "Zl", "Zp"):
        return " "
    if kind == "Cf":  # it only steers: a soft hyphen, a direction
        return ""
    if mark in _STAND_INS:
        return _STAND_INS[mark]
    if ord(mark) in _font().face.charToGlyph:
        return mark
    return " " if kind == "Zs" else f"[U+{ord(mark):04X}]"


@lru_cache(maxsize=50_000)
def width_of(text, size):
    """How wide the text is. [points]"""
    return _font().stringWidth(printable(text), size)


@lru_cache(maxsize=20_000)
def wrapped(text, size, width):
    """The text in lines of at most so many points; a word that is wider is broken.

    Examples
    --------
    >>> wrapped("one two", 10, 30)
    ('one', 'two')
    """
    lines = []
    for paragraph in printable_lines(text):
        line = ""
        for word in paragraph.split(" "):
            longer = f"{line} {word}" if line else word
            if width_of(longer, size) <= width:
                line = longer
                continue
            if line:
                lines.append(line)
            while width_of(word, size) > width and len(word) > 1:
                fits = _most_that_fits(word, size, width)
                lines.append(word[:fits])
                word = word[fits:]
            line = word
        lines.append(line)
    return tuple(lines)


def printable_lines(text):
    """The lines of a text as typed, each printable, without blanks around it."""
    return [printable(line).strip() for line in str(text).replace("\r\n", "\n").split("\n")]


def _most_that_fits(word, size, width):
    fits = 1
    while fits < len(word) and width_of(word[: fits + 1], size) <= width:
        fits += 1
    return fits


@dataclass(frozen=True)
class Column:
    """A column of a table. `share` of the width is in proportion to the others' shares."""

    title: str
    share: float
    is_number: bool = False


class Paper:
    """A PDF of one or more documents, each with its own page numbers.

    Parameters
    ----------
    title, author : str
        What a reader shows; the property's name is a good author. Never a machine's or a program's user.
    size : str
        A key of SIZES.
    margin : float
        [points]

    Attributes
    ----------
    left, right, top, bottom : float
        The edges of what may be written on; below `bottom` stands the foot.
    y : float
        Where the next thing begins.
    """

    def __init__(self, title, *, author="", size="letter", margin=0.6 * INCH):
        _font()
        self._file = io.BytesIO()
        self._size = SIZES[size]
        self._canvas = Canvas(
            self._file, pagesize=self._size, invariant=1, pageCompression=1, initialFontName=_FONT
        )
        self._canvas.setTitle(printable(title))
        self._canvas.setAuthor(printable(author))
        self._canvas.setCreator("Swardbook")
        self.page_width, self.page_height = self._size
        self.left, self.top = margin, margin
        self.right, self.bottom = self.page_width - margin, self.page_height - margin - 2 * FOOT
        self.y = self.top
        self._pages, self._foot, self._bookmark = [], "", ""

    @property
    def width(self):
        return self.right - self.left

    @property
    def left_on_page(self):
        """Points between here and the foot."""
        return self.bottom - self.y

    def begin(self, foot="", bookmark=""):
        """Begin a document on a new page. `foot` stands below every page, with the page's number beside it."""
        self._end_document()
        self._foot, self._bookmark = foot, bookmark
        self.new_page()

    def new_page(self):
        self._pages.append([])
        self.y = self.top

    def room(self, height):
        """Go to a new page unless so many points are left on this one. True if it did."""
        if self.left_on_page >= height or self.y == self.top:
            return False
        self.new_page()
        return True

    def text(self, x, y, text, *, size=9.0, bold=False, align="left", grey=False):
        """One line with its baseline at y; `align` says which end of it stands at x: left, right or centre."""
        shown = printable(str(text))
        if not shown:
            return
        if align != "left":
            x -= width_of(shown, size) / (1 if align == "right" else 2)
        self._pages[-1].append(("text", x, y, shown, size, bold, grey))

    def line(self, x1, y1, x2, y2, *, width=0.5, grey=False):
        self._pages[-1].append(("line", x1, y1, x2, y2, width, grey))

    def box(self, x, y, width, height, *, line=0.7):
        """A rectangle with its upper left corner at x, y: to tick, or to write in."""
        self._pages[-1].append(("box", x, y, width, height, line))

    def rule(self, *, width=0.5, gap=4.0):
        """A line across the page, with a gap above and below."""
        self.y += gap
        self.line(self.left, self.y, self.right, self.y, width=width)
        self.y += gap

    def paragraph(self, text, *, size=9.0, bold=False, grey=False, x=None, width=None, gap=3.0):
        """Wrapped text from y on, over as many pages as it takes."""
        x = self.left if x is None else x
        lines = wrapped(str(text), size, self.right - x if width is None else width)
        for each in lines:
            self.room(size * LEADING)
            self.text(x, self.y + size, each, size=size, bold=bold, grey=grey)
            self.y += size * LEADING
        self.y += gap

    def heading(self, text, *, size=11.0, keep=40.0):
        """A heading that stays with what follows it."""
        self.room(size * LEADING + keep)
        self.paragraph(text, size=size, bold=True)

    def table(self, columns, rows, *, foot=(), size=9.0, pad=3.0):
        """Rows below a head that every page repeats. Cells wrap; a row stays on one page if a page can hold it.

        Parameters
        ----------
        columns : list of Column
        rows : iterable of sequences of str
            As many cells as columns; a newline in a cell begins a new line.
        foot : iterable of sequences of str
            Rows in bold below a heavier line.
        """
        edges = self._edges(columns)
        self.room(4 * size * LEADING)
        self._head(columns, edges, size, pad)
        for row in rows:
            lines = self._cells(columns, edges, row, size, pad)
            while (height := self._height(lines, size, pad)) > self.left_on_page:
                if height > self.bottom - self.top - 4 * size:  # longer than a page: cut where this one ends
                    most = max(1, int((self.left_on_page - pad) // (size * LEADING)))
                    self._draw(columns, edges, [cell[:most] for cell in lines], size, pad)
                    lines = [cell[most:] for cell in lines]
                self.new_page()
                self._head(columns, edges, size, pad)
            self._draw(columns, edges, lines, size, pad)
        for row in foot:
            lines = self._cells(columns, edges, row, size, pad)
            self.room(self._height(lines, size, pad))
            self._draw(columns, edges, lines, size, pad, bold=True, line=0)
        self.y += pad

    def bytes(self):
        """The file, once; nothing can be added afterwards."""
        self._end_document()
        self._canvas.save()
        return self._file.getvalue()

    def _edges(self, columns):
        total = sum(column.share for column in columns)
        edges, x = [], self.left
        for column in columns:
            edges.append((x, x + self.width * column.share / total))
            x = edges[-1][1]
        return edges

    def _cells(self, columns, edges, row, size, pad):
        return [
            wrapped(str(cell), size, right - left - (2 * pad if right < self.right else pad))
            for cell, (left, right) in zip(row, edges, strict=True)
        ]

    def _head(self, columns, edges, size, pad):
        lines = self._cells(columns, edges, [column.title for column in columns], size - 1, pad)
        self._draw(columns, edges, lines, size - 1, pad, grey=True, line=0.8)

    @staticmethod
    def _height(lines, size, pad):
        return max(map(len, lines)) * size * LEADING + pad

    def _draw(self, columns, edges, lines, size, pad, *, bold=False, grey=False, line=0.3):
        for column, (left, right), cell in zip(columns, edges, lines, strict=True):
            for number, each in enumerate(cell):
                y = self.y + number * size * LEADING + size
                if column.is_number:
                    # the last column's figures end at the page's edge, the others' before the next column
                    x = right if right >= self.right - 0.01 else right - 2 * pad
                    self.text(x, y, each, size=size, bold=bold, grey=grey, align="right")
                else:
                    self.text(left, y, each, size=size, bold=bold, grey=grey)
        self.y += self._height(lines, size, pad)
        if line:
            self.line(self.left, self.y - pad / 2, self.right, self.y - pad / 2, width=line)

    def _end_document(self):
        pages, self._pages = self._pages, []
        if pages and self._bookmark:
            key = f"document-{self._canvas.getPageNumber()}"
            self._canvas.bookmarkPage(key)
            self._canvas.addOutlineEntry(printable(self._bookmark), key, level=0)
        for number, drawn in enumerate(pages, start=1):
            y = self.bottom + 2 * FOOT
            of = f"Page {number} of {len(pages)}"
            for x, said in ((self.left, printable(self._foot)), (self.right - width_of(of, FOOT), of)):
                drawn.append(("text", x, y, said, FOOT, False, True))
            self._put(drawn)
            self._canvas.showPage()

    def _put(self, drawn):
        """Write a page's things in their order; what follows one another in the same type is written at once."""
        canvas = self._canvas
        canvas.setLineWidth(0.5)
        for (what, *how), things in groupby(
            drawn, lambda each: (each[0], *each[4:]) if each[0] == "text" else each[:1]
        ):
            if what == "text":
                self._put_texts(canvas, [each[1:4] for each in things], *how)
                continue
            for each in things:
                getattr(self, f"_put_{what}")(canvas, *each[1:])

    def _put_texts(self, canvas, texts, size, bold, grey):
        shade = GREY if grey else BLACK
        if bold:
            canvas.setStrokeGray(shade)
            canvas.setLineWidth(size * _BOLDER)
        written = canvas.beginText()
        written.setFont(_FONT, size)
        written.setFillGray(shade)
        if bold:
            written.setTextRenderMode(2)
        for x, y, text in texts:
            written.setTextOrigin(x, self.page_height - y)
            written.textLine(text)
        if bold:
            written.setTextRenderMode(0)  # it would go on in the next text
        canvas.drawText(written)

    def _put_line(self, canvas, x1, y1, x2, y2, width, grey):
        canvas.setStrokeGray(GREY if grey else BLACK)
        canvas.setLineWidth(width)
        canvas.line(x1, self.page_height - y1, x2, self.page_height - y2)

    def _put_box(self, canvas, x, y, width, height, line):
        canvas.setStrokeGray(BLACK)
        canvas.setLineWidth(line)
        canvas.rect(x, self.page_height - y - height, width, height, stroke=1, fill=0)
