"""The review deck, opened again: what stands on it, what its numbers are, and that it fits."""

import io
import re
import zipfile
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from PIL import ImageFont
from pptx import Presentation
from pptx.util import Emu

from tradeopt import quantities as q
from tradeopt.report.deck.canvas import HEIGHT, WIDTH
from tradeopt.report.deck.slides import ORDER, deck_of
from tradeopt.report.review import Review
from tradeopt.services.lookup import FoundRun

Rows = list[list[str]]


@pytest.fixture(scope="module")
def made(told: Review) -> bytes:
    return deck_of(told)


@pytest.fixture(scope="module")
def slides(made: bytes) -> list[Any]:
    return list(Presentation(io.BytesIO(made)).slides)


def slide_of(slides: list[Any], subject: str):
    return slides[[one.__name__ for one in ORDER].index(subject)]


def tables_of(slide) -> list[Rows]:
    return [
        [[cell.text_frame.text for cell in row.cells] for row in shape.table.rows]
        for shape in slide.shapes
        if shape.has_table
    ]


def charts_of(slide) -> list[Any]:
    return [shape.chart for shape in slide.shapes if shape.has_chart]


def number(text: str) -> float:
    found = re.match(r"-?\d[\d,]*\.?\d*(e-?\d+)?", text)
    assert found, text
    return float(found.group().replace(",", ""))


def test_every_slide_has_a_title_of_its_own_and_a_number(slides: list[Any]) -> None:
    titles = [slide.shapes.title.text_frame.text for slide in slides]
    assert len(titles) == len(ORDER) == len(set(titles))
    assert all(len(title) > 10 for title in titles)
    for place, slide in enumerate(slides, start=1):
        assert any(
            shape.has_text_frame and shape.text_frame.text.endswith(f"|  {place}")
            for shape in slide.shapes
        )


def test_the_decision_names_the_recommended_design_and_what_it_reaches(
    slides: list[Any], told: Review
) -> None:
    title = slide_of(slides, "decision").shapes.title.text_frame.text
    view = told.chosen.view
    assert told.chosen.name in title
    assert number(title.partition("range ")[2]) == pytest.approx(
        float(view.of(q.RANGE)) / 1000.0, rel=5e-4
    )
    mass, base = (float(one.view.of(q.TOTAL_MASS)) for one in (told.chosen, told.baseline))
    assert number(title.partition("total mass ")[2]) == pytest.approx(mass, rel=5e-4)
    change = re.findall(r"\(([+-][\d.]+) %\)", title)
    assert float(change[1]) == pytest.approx(100.0 * (mass / base - 1.0), abs=0.01)


def test_requirements_tell_values_of_the_chain(slides: list[Any], told: Review) -> None:
    rows = {row[0]: row for row in tables_of(slide_of(slides, "requirements"))[0][1:]}
    values = told.chosen.view
    expected = {
        "total mass": float(values.of(q.TOTAL_MASS)),
        "housing temperature": float(values.of(q.HOUSING_TEMPERATURE).max()) - 273.15,
        "voltage margin": 100.0 * float(values.of(q.VOLTAGE_MARGIN).min()),
    }
    shown = {name: value for name, value in expected.items() if name in rows}
    assert shown
    for name, value in shown.items():
        assert number(rows[name][2]) == pytest.approx(value, rel=5e-4)
    assert {row[5] for row in rows.values()} == {"model"}


def test_masses_are_those_of_the_chain(slides: list[Any], told: Review) -> None:
    rows = tables_of(slide_of(slides, "masses"))[0]
    assert rows[0] == ["item", "count", "basic [kg]", "growth [kg]", "predicted [kg]"]
    by_item = {row[0]: [float(cell) for cell in row[2:]] for row in rows[1:]}
    view = told.chosen.view
    assert by_item["whole robot"][2] == pytest.approx(float(view.of(q.TOTAL_MASS)), abs=0.006)
    assert by_item["battery"][0] == pytest.approx(float(view.of(q.BATTERY_MASS)), abs=0.006)
    parts = (q.MOTOR_MASS, q.TRANSMISSION_MASS, q.SPRING_MASS, q.COOLING_MASS)
    knee = sum(float(view.of(part)[q.JOINTS.index("knee")]) for part in parts)
    assert by_item["knee drive"][0] == pytest.approx(2.0 * knee, abs=0.006)
    for basic, growth, predicted in by_item.values():
        assert basic + growth == pytest.approx(predicted, abs=0.011)
    total = sum(row[2] for item, row in by_item.items() if item != "whole robot")
    assert total == pytest.approx(by_item["whole robot"][2], abs=0.1)


def test_energy_is_that_of_the_chain(slides: list[Any], told: Review) -> None:
    slide = slide_of(slides, "energy")
    legs = {row[0]: row for row in tables_of(slide)[0][1:]}
    view = told.chosen.view
    for place, leg in enumerate(view.evaluation.entries["leg"]):
        energy = float(view.of(q.LEG_ENERGY)[place]) / 3600.0
        assert number(legs[leg][4]) == pytest.approx(energy, abs=0.6)
    plot = charts_of(slide)[0].plots[0]
    shown = dict(zip(plot.categories, plot.series[0].values, strict=True))
    copper = float(view.of(q.COPPER_ENERGY).sum()) / 3600.0
    assert shown["copper energy"] == pytest.approx(copper, rel=1e-9)


def test_temperatures_are_those_of_the_chain(slides: list[Any], told: Review) -> None:
    winding, housing = tables_of(slide_of(slides, "heat"))
    for rows, quantity in ((winding, q.WINDING_TEMPERATURE), (housing, q.HOUSING_TEMPERATURE)):
        shown = np.array([[float(cell) for cell in row[1:]] for row in rows[1:]])
        assert shown == pytest.approx(told.chosen.view.of(quantity) - 273.15, abs=0.006)


def test_the_front_is_that_of_the_run(slides: list[Any], told: Review, levee: FoundRun) -> None:
    slide = slide_of(slides, "front")
    designs = levee.front().designs
    kept = dict(zip(designs.numbers.tolist(), designs.objectives.tolist(), strict=True))
    rows = tables_of(slide)[0][1:]
    assert {one.number for one in told.picks} <= {int(row[0]) for row in rows}
    for design, reach, mass, *_ in rows:
        expected = kept[int(design)]
        assert float(reach) == pytest.approx(expected[0] / 1000.0, abs=0.006)
        assert float(mass) == pytest.approx(expected[1], abs=0.006)
    series = {one.name: one for one in charts_of(slide)[0].plots[0].series}
    of_front = [*series["front"].values, *series["other picks"].values]
    of_front += series["recommended"].values
    assert sorted(of_front) == pytest.approx(sorted(designs.objectives[:, 0] / 1000.0))
    assert list(series["recommended"].values) == pytest.approx(
        [float(told.chosen.view.of(q.RANGE)) / 1000.0]
    )
    assert list(series["baseline"].values) == pytest.approx(
        [float(told.baseline.view.of(q.RANGE)) / 1000.0]
    )


def test_the_torque_of_each_joint_is_drawn_over_its_limit(slides: list[Any], told: Review) -> None:
    charts = charts_of(slide_of(slides, "torque_speed"))
    assert len(charts) == len(q.JOINTS)
    view = told.chosen.view
    for place, chart in enumerate(charts):
        series = {one.name: np.array(list(one.values)) for one in chart.plots[0].series}
        torque = np.abs(view.of(q.MOTOR_TORQUE)[place])
        for gait, name in enumerate(view.gaits):
            assert np.abs(series[name]).max() == pytest.approx(torque[gait].max(), rel=1e-9)
        assert series["limit"].max() <= float(view.of(q.PEAK_MOTOR_TORQUE)[place]) * (1 + 1e-9)


def test_no_chart_is_empty_and_none_holds_a_formula(made: bytes, slides: list[Any]) -> None:
    charts = [chart for slide in slides for chart in charts_of(slide)]
    assert len(charts) > 10
    for chart in charts:
        values = [value for one in chart.plots[0].series for value in one.values]
        assert [value for value in values if value is not None]
    with zipfile.ZipFile(io.BytesIO(made)) as archive:
        books = [name for name in archive.namelist() if name.endswith(".xlsx")]
        for name in books:
            with zipfile.ZipFile(io.BytesIO(archive.read(name))) as book:
                assert b"<f>" not in book.read("xl/worksheets/sheet1.xml")


ARIAL = 0.95
"""Width of Arial over that of the font that the library brings along, about."""


def lines(text: str, size: float, width: float) -> int:
    """Lines that a text takes in a width [inch], measured with a real font."""
    font = ImageFont.load_default(ARIAL * size)
    count, used = 1, 0.0
    for word in text.split():
        own, gap = font.getlength(word) / 72.0, font.getlength(" ") / 72.0
        fits = not used or used + gap + own <= width
        count, used = (count, used + gap + own) if fits else (count + 1, own)
    return count


def size_of(paragraph) -> float:
    return float(paragraph.runs[0].font.size.pt) if paragraph.runs else 0.0


def test_every_text_fits_its_box_and_every_shape_its_slide(slides: list[Any]) -> None:
    for slide in slides:
        for shape in slide.shapes:
            assert shape.left >= 0
            assert Emu(shape.left + shape.width).inches <= WIDTH + 0.01
            if shape.has_table:
                height = sum(row.height for row in shape.table.rows)
                assert Emu(shape.top + height).inches < HEIGHT - 0.5
            if shape.has_text_frame and shape.text_frame.text:
                width = Emu(shape.width).inches - 0.2
                needs = sum(
                    lines(one.text, size_of(one), width) * size_of(one) * 1.2 / 72.0
                    for one in shape.text_frame.paragraphs
                )
                assert needs <= Emu(shape.height).inches + 0.05, shape.text_frame.text
                assert Emu(shape.top + shape.height).inches <= HEIGHT


def test_every_cell_fits_its_row(slides: list[Any]) -> None:
    for slide in slides:
        for shape in [one for one in slide.shapes if one.has_table]:
            widths = [Emu(column.width).inches for column in shape.table.columns]
            for row in shape.table.rows:
                for cell, width in zip(row.cells, widths, strict=True):
                    paragraph = cell.text_frame.paragraphs[0]
                    needs = lines(paragraph.text, size_of(paragraph), width - 0.12)
                    height = needs * size_of(paragraph) * 1.2 / 72.0
                    assert height <= Emu(row.height).inches + 0.01, paragraph.text
                    assert size_of(paragraph) >= 9


def test_every_table_has_units_and_four_digits_at_most(slides: list[Any]) -> None:
    for slide in slides:
        for rows in tables_of(slide):
            for cell in [cell for row in rows[1:] for cell in row]:
                for word in re.findall(r"(?<![\w.-])-?\d+\.\d+(?![\w.])", cell):
                    digits = word.replace("-", "").replace(".", "").lstrip("0")
                    assert len(digits) <= 5, cell


def test_hostile_names_are_harmless(told: Review) -> None:
    name = "=cmd|'/C calc'!A0 \ud800\x00<b>&"
    hostile = replace(
        told, study=replace(told.study, name=name), provenance=told.provenance | {"run": name}
    )
    opened = Presentation(io.BytesIO(deck_of(hostile)))
    foot = opened.slides[0].shapes[-1]
    texts = [shape.text_frame.text for shape in opened.slides[0].shapes if shape.has_text_frame]
    assert foot is not None
    assert any("=cmd|'/C calc'!A0 <b>&" in text for text in texts)


def test_cautions_stand_on_a_slide(slides: list[Any]) -> None:
    slide = slide_of(slides, "risks")
    words = " ".join(shape.text_frame.text for shape in slide.shapes if shape.has_text_frame)
    for part in ("Lithium packs can burn", "burn skin", "walking machine falls", "Open tests"):
        assert part in words
