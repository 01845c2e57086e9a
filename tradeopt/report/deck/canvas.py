"""Slides, and the texts and tables on them, each made to fit its place."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil

from pptx import Presentation
from pptx.dml.color import RGBColor
from pptx.enum.text import MSO_ANCHOR, PP_ALIGN
from pptx.oxml.ns import qn
from pptx.presentation import Presentation as Deck
from pptx.shapes.autoshape import Shape
from pptx.slide import Slide
from pptx.table import Table, _Cell
from pptx.text.text import TextFrame
from pptx.util import Inches, Pt

from tradeopt.report.plain_text import clean, readable
from tradeopt.report.section import Section
from tradeopt.report.terminal import Column, columns

WIDTH, HEIGHT = 13.333, 7.5
"""Size of a slide [inch]."""

EDGE = 0.5
"""Free rim of a slide [inch]."""

FONT = "Arial"
INK, SOFT, RULE, TINT = "16242E", "4A5A66", "0072B2", "E8EFF4"
"""Colours of text, of remarks, of the rule under a title and of the heads of tables."""

_TITLE_ONLY = 5
_NARROW, _WIDE = frozenset("ijltfrI.,:;'|!()[] -"), frozenset("mwMW%@")
_SHARES = (0.34, 0.9, 0.7, 0.62, 0.57)
"""Width of narrow, wide and capital letters, digits and others, as a share of their size."""
_LINE = 1.2
"""Height of a line, as a share of the size of the font."""
_PAD = 0.06
"""Room at the left and right of a cell [inch]."""
_GAP = 0.03
"""Room above and below the text of a cell [inch]."""
_BLANK = "\u00a0"
"""Stands for no text, as an empty cell would be as high as the library's own font."""
_POINTS = 72.0
_SHORT = 10
"""Characters up to which a cell stays on one line."""
_TITLES, _TITLE_LINES = (26, 24, 22, 20, 18, 16), 2
_SIZES = (13, 12, 11, 10, 9)
"""Sizes of font to try, the largest first."""


@dataclass(frozen=True)
class Box:
    """A place on a slide [inch]."""

    left: float
    top: float
    width: float
    height: float

    def halves(self, share: float = 0.5, gap: float = 0.3) -> tuple["Box", "Box"]:
        """Cut it into a left part of this share of its width and the rest."""
        left = share * (self.width - gap)
        right = self.width - gap - left
        return (
            Box(self.left, self.top, left, self.height),
            Box(self.left + left + gap, self.top, right, self.height),
        )

    def stack(self, share: float = 0.5, gap: float = 0.2) -> tuple["Box", "Box"]:
        """Cut it into an upper part of this share of its height and the rest."""
        upper = share * (self.height - gap)
        lower = self.height - gap - upper
        return (
            Box(self.left, self.top, self.width, upper),
            Box(self.left, self.top + upper + gap, self.width, lower),
        )

    def place(self) -> tuple[Inches, Inches, Inches, Inches]:
        """Return it in the units of the file."""
        return Inches(self.left), Inches(self.top), Inches(self.width), Inches(self.height)


BODY = Box(EDGE, 1.45, WIDTH - 2 * EDGE, HEIGHT - 1.45 - 0.65)
"""Where the content of a slide goes."""


class Canvas:
    """A deck in the making.

    Parameters
    ----------
    footer : str
        What stands at the foot of every slide.
    """

    def __init__(self, footer: str) -> None:
        self.deck: Deck = Presentation()
        self.deck.slide_width, self.deck.slide_height = Inches(WIDTH), Inches(HEIGHT)
        self.footer = footer

    def slide(self, title: str) -> Slide:
        """Add a slide with a title, a rule under it and the footer."""
        slide = self.deck.slides.add_slide(self.deck.slide_layouts[_TITLE_ONLY])
        frame = slide.shapes.title
        frame.left, frame.top, frame.width, frame.height = Box(
            EDGE, 0.3, WIDTH - 2 * EDGE, 0.95
        ).place()
        fitting = (one for one in _TITLES if _lines(title, one, WIDTH - 1.2) <= _TITLE_LINES)
        size = next(fitting, _TITLES[-1])
        _write(frame.text_frame, title, size=size, bold=True)
        frame.text_frame.vertical_anchor = MSO_ANCHOR.BOTTOM
        rule = slide.shapes.add_connector(
            1, Inches(EDGE), Inches(1.32), Inches(WIDTH - EDGE), Inches(1.32)
        )
        rule.line.color.rgb, rule.line.width = RGBColor.from_string(RULE), Pt(1.5)
        rule.shadow.inherit = False
        number = len(self.deck.slides)
        text(slide, f"{self.footer}  |  {number}", Box(EDGE, 6.98, WIDTH - 1, 0.3), 9, SOFT)
        return slide


def text(
    slide: Slide, words: str, box: Box, size: int = 14, colour: str = INK, *, bold: bool = False
) -> Shape:
    """Write a paragraph a line into a place."""
    shape = slide.shapes.add_textbox(*box.place())
    frame = shape.text_frame
    frame.word_wrap = True
    _write(frame, words, size=size, colour=colour, bold=bold)
    return shape


def bullets(slide: Slide, points: Sequence[str], box: Box, most: int = 16) -> Shape:
    """Write points under each other, in the largest font that they fit in."""
    size = next(
        (one for one in range(most, 9, -1) if _height(points, one, box.width) <= box.height), 9
    )
    shape = text(slide, "\n".join(points), box, size)
    for paragraph in shape.text_frame.paragraphs:
        paragraph.space_after = Pt(0.5 * size)
        mark = paragraph._p.get_or_add_pPr()  # noqa: SLF001 - the library has no bullets
        mark.set("marL", str(int(Pt(size))))
        mark.set("indent", str(-int(Pt(size))))
        bullet = mark.makeelement(qn("a:buChar"), {"char": "\u2022"})
        mark.append(bullet)
    return shape


def _height(points: Sequence[str], size: int, width: float) -> float:
    lines = sum(_lines(one, size, width - 0.3) for one in points)
    return (lines * _LINE + 0.5 * len(points)) * size / _POINTS + 0.15


def _lines(words: str, size: float, width: float) -> int:
    """Return how many lines a text takes at a size of font in a width [inch]."""
    return sum(_wrapped(line, size, width) for line in words.split("\n"))


def _wrapped(line: str, size: float, width: float) -> int:
    count, used = 1, 0.0
    space = text_width(" ", size)
    for word in line.split():
        own = text_width(word, size)
        if used and used + space + own > width:
            count, used = count + 1, 0.0
        count += max(0, ceil(own / width) - 1)
        used += own + (space if used else 0.0)
    return count


def text_width(words: str, size: float) -> float:
    """
    Estimate how wide a line of text is, a little on the safe side.

    Parameters
    ----------
    words : str
        One line.
    size : float
        Size of the font [pt].

    Returns
    -------
    float
        Width [inch].

    Examples
    --------
    >>> round(text_width("knee", 72.0), 4)
    2.28
    """
    return sum(_share(letter) for letter in words) * size / _POINTS


def _share(letter: str) -> float:
    narrow, wide, capital, digit, other = _SHARES
    if letter in _NARROW:
        return narrow
    if letter in _WIDE:
        return wide
    if letter.isdigit():
        return digit
    return capital if letter.isupper() else other


def _write(
    frame: TextFrame, words: str, *, size: float, colour: str = INK, bold: bool = False
) -> None:
    for number, line in enumerate(clean(words).split("\n")):
        paragraph = frame.paragraphs[0] if number == 0 else frame.add_paragraph()
        run = paragraph.add_run()
        run.text = line or _BLANK
        run.font.size, run.font.bold, run.font.name = Pt(size), bold, FONT
        run.font.color.rgb = RGBColor.from_string(colour)
        paragraph.alignment = PP_ALIGN.LEFT


@dataclass(frozen=True)
class _Fit:
    """How a table is set into its place."""

    size: int
    widths: list[float]
    heights: list[float]
    rows: int


def table(slide: Slide, section: Section, box: Box, *, marked: Sequence[int] = ()) -> Table:
    """
    Set a section as a native table, in the largest font that it fits in.

    Parameters
    ----------
    slide : Slide
        Where it goes.
    section : Section
        Its rows; the last ones are left out, and that is said, where even the smallest font is too
        large.
    box : Box
        Its place; it takes as much of the height as it needs.
    marked : sequence of int
        Rows to set in bold.

    Returns
    -------
    Table
        The table.
    """
    remark = section.remark
    room = box.height - (0.3 * _lines(remark, 10, box.width) if remark else 0.0)
    found = [_spoken(one) for one in columns(section)]
    fit = _fit(found, box.width, room)
    if fit.rows < len(section.rows):
        dropped = f"{len(section.rows) - fit.rows} more rows are in the report"
        remark = f"{remark}; {dropped}" if remark else dropped
        fit = _fit([_cut(one, fit.rows) for one in found], box.width, box.height - 0.3)
        found = [_cut(one, fit.rows) for one in found]
    shape = slide.shapes.add_table(fit.rows + 1, len(found), *box.place())
    made = shape.table
    _unstyle(shape)
    for place, (column, width) in enumerate(zip(found, fit.widths, strict=True)):
        made.columns[place].width = Inches(width)
        _set(made.cell(0, place), _head(column), fit.size, head=True, numeric=column.numeric)
        for row, words in enumerate(column.cells[: fit.rows]):
            bold = row in marked
            _set(made.cell(row + 1, place), words, fit.size, numeric=column.numeric, bold=bold)
    for row, height in zip(made.rows, fit.heights, strict=True):
        row.height = Inches(height)
    if remark:
        below = box.top + sum(fit.heights) + 0.05
        lines = _lines(remark, 10, box.width)
        text(slide, remark, Box(box.left, below, box.width, 0.3 * lines), 10, SOFT)
    return made


def _spoken(column: Column) -> Column:
    return Column(column.head, tuple(map(readable, column.cells)), column.numeric)


def _cut(column: Column, rows: int) -> Column:
    return Column(column.head, column.cells[:rows], column.numeric)


def _head(column: Column) -> str:
    return " ".join(column.head.split("\n"))


def _fit(found: Sequence[Column], width: float, height: float) -> _Fit:
    for size in _SIZES:
        widths = _widths(found, width, size)
        heights = _heights(found, widths, size)
        narrow = sum(_widest(one, size, whole=False) for one in found) > width
        if sum(heights) <= height and not narrow:
            break
    while len(heights) > 2 and sum(heights) > height:  # noqa: PLR2004 - the head and one row
        heights.pop()
    return _Fit(size, widths, heights, len(heights) - 1)


def _widths(found: Sequence[Column], width: float, size: int) -> list[float]:
    """Give every column what its longest word needs, and the rest by the length of its texts."""
    needs = [_widest(one, size, whole=False) for one in found]
    wishes = [_widest(one, size, whole=True) for one in found]
    left = width - sum(needs)
    extra = [wish - need for wish, need in zip(wishes, needs, strict=True)]
    total = sum(extra)
    if left <= 0.0:
        return [need * width / sum(needs) for need in needs]
    if total <= left:
        return wishes
    return [need + left * one / total for need, one in zip(needs, extra, strict=True)]


def _widest(column: Column, size: int, *, whole: bool) -> float:
    head = _head(column)
    if whole:
        parts = [head, *column.cells]
    else:
        # a number is not torn from its unit
        cells = (
            column.cells if column.numeric else [w for one in column.cells for w in _pieces(one)]
        )
        parts = [*head.split(), *cells]
    return max((text_width(one, size) for one in parts), default=0.0) + 2 * _PAD + 0.05


def _pieces(cell: str) -> list[str]:
    """Return what a cell may be broken into: a short one not at all."""
    return [cell] if len(cell) <= _SHORT else cell.split()


def _heights(found: Sequence[Column], widths: Sequence[float], size: int) -> list[float]:
    rows = zip(*([_head(one), *one.cells] for one in found), strict=True)
    return [
        max(_lines(cell, size, wide - 2 * _PAD) for cell, wide in zip(row, widths, strict=True))
        * (size * _LINE / _POINTS)
        + 2 * _GAP
        for row in rows
    ]


def _set(
    cell: _Cell, words: str, size: int, *, numeric: bool, head: bool = False, bold: bool = False
) -> None:
    cell.margin_left = cell.margin_right = Inches(_PAD)
    cell.margin_top = cell.margin_bottom = Inches(_GAP)
    cell.vertical_anchor = MSO_ANCHOR.MIDDLE
    _write(cell.text_frame, words, size=size, bold=head or bold)
    cell.text_frame.paragraphs[0].alignment = PP_ALIGN.RIGHT if numeric else PP_ALIGN.LEFT
    cell.fill.solid()
    cell.fill.fore_color.rgb = RGBColor.from_string(TINT if head else "FFFFFF")


def _unstyle(shape: Shape) -> None:
    """Take away the bands and the colours of the library's own style."""
    properties = shape._element.graphic.graphicData.tbl.tblPr  # noqa: SLF001 - no other way
    properties.set("bandRow", "0")
    properties.set("firstRow", "1")


def key(slide: Slide, entries: Sequence[tuple[str, str]], box: Box, size: int = 11) -> Shape:
    """Explain the colours of several charts in one line: colour and words of each."""
    shape = slide.shapes.add_textbox(*box.place())
    paragraph = shape.text_frame.paragraphs[0]
    for colour, words in entries:
        for part, shade in (("\u2501\u2501 ", colour), (f"{clean(words)}      ", INK)):
            run = paragraph.add_run()
            run.text = part
            run.font.size, run.font.name = Pt(size), FONT
            run.font.color.rgb = RGBColor.from_string(shade)
    return shape
