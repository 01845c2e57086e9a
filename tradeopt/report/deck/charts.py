"""Native charts on a slide: they can be edited, and hold the numbers that they show."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from pptx.chart.axis import ValueAxis
from pptx.chart.chart import Chart
from pptx.chart.data import CategoryChartData, XyChartData
from pptx.chart.series import XySeries
from pptx.dml.color import RGBColor
from pptx.enum.chart import (
    XL_CHART_TYPE,
    XL_LEGEND_POSITION,
    XL_MARKER_STYLE,
    XL_TICK_LABEL_POSITION,
)
from pptx.enum.dml import MSO_LINE
from pptx.slide import Slide
from pptx.text.text import TextFrame
from pptx.util import Pt

from tradeopt.arrays import Array
from tradeopt.report.deck.canvas import FONT, INK, Box
from tradeopt.report.plain_text import clean, no_formula

BLUE, VERMILLION, GREEN, PURPLE, GREY = "0072B2", "D55E00", "009E73", "CC79A7", "6E6E6E"
"""Okabe and Ito's colours for the colour-blind (jfly.uni-koeln.de/color, 2008), and a grey."""

PALETTE = (BLUE, GREEN, PURPLE, VERMILLION, GREY)


@dataclass(frozen=True)
class Series:
    """Points of one kind.

    Attributes
    ----------
    name : str
        What they are.
    x, y : Array
        Shape (point,), in the units of the axes; points without a value are left out.
    colour : str
        RRGGBB.
    marker : str
        circle, diamond, x, or none.
    size : int
        Of a mark [pt].
    line : float
        Width [pt]; 0 for none.
    dashed : bool
        Whether the line is.
    """

    name: str
    x: Array
    y: Array
    colour: str
    marker: str = "none"
    size: int = 7
    line: float = 0.0
    dashed: bool = False


@dataclass(frozen=True)
class Axes:
    """Names of the axes with their units, and what they show."""

    x: str
    y: str
    title: str = ""
    legend: bool = True
    x_range: tuple[float, float] | None = None
    y_range: tuple[float, float] | None = None
    font: int = 11


_NO_MARKER = "none"
_MARKERS = {
    "circle": XL_MARKER_STYLE.CIRCLE,
    "diamond": XL_MARKER_STYLE.DIAMOND,
    "x": XL_MARKER_STYLE.X,
    _NO_MARKER: XL_MARKER_STYLE.NONE,
}


def scatter(slide: Slide, series: Sequence[Series], axes: Axes, box: Box) -> Chart:
    """Draw points and lines over two axes of numbers."""
    data = XyChartData()
    for one in series:
        added = data.add_series(no_formula(one.name))
        known = np.isfinite(one.x) & np.isfinite(one.y)
        for x, y in zip(one.x[known].tolist(), one.y[known].tolist(), strict=True):
            added.add_data_point(x, y)
    chart = _chart(slide, XL_CHART_TYPE.XY_SCATTER_LINES_NO_MARKERS, data, box, axes)
    for drawn, one in zip(chart.plots[0].series, series, strict=True):
        _mark(drawn, one)
    _dress(chart, axes, len(series))
    _bound(chart.category_axis, axes.x_range)
    _bound(chart.value_axis, axes.y_range)
    chart.category_axis.has_major_gridlines = False
    for axis in (chart.category_axis, chart.value_axis):
        axis.tick_label_position = XL_TICK_LABEL_POSITION.LOW
    return chart


def _mark(drawn: XySeries, one: Series) -> None:
    """Give a series its marks and its line."""
    colour = RGBColor.from_string(one.colour)
    drawn.smooth = False
    drawn.marker.style = _MARKERS[one.marker]
    if one.marker != _NO_MARKER:
        drawn.marker.size = one.size
        for part in (drawn.marker.format.fill, drawn.marker.format.line.fill):
            part.solid()
            part.fore_color.rgb = colour
    if one.line:
        drawn.format.line.color.rgb = colour
        drawn.format.line.width = Pt(one.line)
        drawn.format.line.dash_style = MSO_LINE.DASH if one.dashed else MSO_LINE.SOLID
    else:
        drawn.format.line.fill.background()


@dataclass(frozen=True)
class Bars:
    """Bars: a category each, and a value of each series.

    Attributes
    ----------
    categories : sequence of str
        From the top, or from the left.
    series : mapping of str to sequence of float
        By name, a value a category; NaN for none.
    colours : sequence of str
        One a series.
    stacked, across : bool
        Stacked on each other; lying on their side.
    number_format : str
        Of the labels; empty for no labels.
    overlap : int
        Of the bars of one category [%].
    """

    categories: Sequence[str]
    series: Mapping[str, Sequence[float]]
    colours: Sequence[str] = PALETTE
    stacked: bool = False
    across: bool = True
    number_format: str = ""
    overlap: int | None = None


def bars(slide: Slide, shown: Bars, axes: Axes, box: Box) -> Chart:
    """Draw bars; of those on their side the first lies on top."""
    data = CategoryChartData()
    data.categories = [no_formula(one) for one in shown.categories]
    for name, values in shown.series.items():
        data.add_series(no_formula(name), [one if np.isfinite(one) else None for one in values])
    kinds = {
        (True, True): XL_CHART_TYPE.BAR_STACKED,
        (True, False): XL_CHART_TYPE.BAR_CLUSTERED,
        (False, True): XL_CHART_TYPE.COLUMN_STACKED,
        (False, False): XL_CHART_TYPE.COLUMN_CLUSTERED,
    }
    chart = _chart(slide, kinds[shown.across, shown.stacked], data, box, axes)
    plot = chart.plots[0]
    plot.gap_width = 45
    if shown.overlap is not None:
        plot.overlap = shown.overlap
    for drawn, colour in zip(plot.series, shown.colours, strict=False):
        drawn.invert_if_negative = False
        drawn.format.fill.solid()
        drawn.format.fill.fore_color.rgb = RGBColor.from_string(colour)
    if shown.number_format:
        plot.has_data_labels = True
        labels = plot.data_labels
        labels.number_format, labels.number_format_is_linked = shown.number_format, False
        labels.font.size, labels.font.name = Pt(axes.font), FONT
    _dress(chart, axes, len(shown.series))
    _bound(chart.value_axis, axes.y_range)
    chart.category_axis.tick_label_position = XL_TICK_LABEL_POSITION.LOW
    chart.category_axis.reverse_order = shown.across
    if shown.across:  # reversed categories put the axis of values on top
        chart.value_axis.tick_label_position = XL_TICK_LABEL_POSITION.HIGH
    return chart


def _chart(
    slide: Slide, kind: XL_CHART_TYPE, data: XyChartData | CategoryChartData, box: Box, axes: Axes
) -> Chart:
    words = " over ".join(filter(None, (axes.y, axes.x)))
    frame = slide.shapes.add_chart(kind, *box.place(), data)
    # what a screen reader says of it; the library has no word for it
    frame._element.nvGraphicFramePr.cNvPr.set("descr", clean(f"{axes.title} {words}".strip()))  # noqa: SLF001
    chart: Chart = frame.chart
    return chart


def _dress(chart: Chart, axes: Axes, series: int) -> None:
    chart.font.size, chart.font.name = Pt(axes.font), FONT
    chart.font.color.rgb = RGBColor.from_string(INK)
    chart.has_title = bool(axes.title)
    if axes.title:
        _name(chart.chart_title.text_frame, axes.title, axes.font + 1)
    chart.has_legend = axes.legend and series > 1
    if chart.has_legend:
        chart.legend.position = XL_LEGEND_POSITION.BOTTOM
        chart.legend.include_in_layout = False
        chart.legend.font.size = Pt(axes.font)
    for axis, words in ((chart.category_axis, axes.x), (chart.value_axis, axes.y)):
        axis.has_title = bool(words)
        if words:
            _name(axis.axis_title.text_frame, words, axes.font)
        axis.tick_labels.font.size = Pt(axes.font)
        axis.format.line.color.rgb = RGBColor.from_string(GREY)
    chart.value_axis.has_major_gridlines = True
    chart.value_axis.major_gridlines.format.line.color.rgb = RGBColor.from_string("D5DCE1")


def _name(frame: TextFrame, words: str, size: int) -> None:
    frame.text = clean(words)
    for paragraph in frame.paragraphs:
        paragraph.font.size, paragraph.font.bold, paragraph.font.name = Pt(size), False, FONT


def _bound(axis: ValueAxis, bounds: tuple[float, float] | None) -> None:
    if bounds is not None:
        axis.minimum_scale, axis.maximum_scale = bounds
