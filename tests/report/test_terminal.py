import pytest

from tests.report.cells import number
from tradeopt.report.amount import amount
from tradeopt.report.html import sheet_html
from tradeopt.report.section import Section, Sheet
from tradeopt.report.terminal import Look, aligned, section_text, sheet_text

WIDE = Section(
    "wide",
    "Wide",
    ("item", *(f"gait_{number}" for number in range(20))),
    tuple((item, *(amount(100.0 + n, "W") for n in range(20))) for item in ("knee", "ankle")),
)


@pytest.mark.parametrize("width", [100, 80, 60])
def test_no_line_of_a_sheet_is_longer_than_the_terminal(sheet: Sheet, width: int) -> None:
    lines = sheet_text(sheet, "levee-rounds", Look(width)).splitlines()
    assert max(map(len, lines)) <= width


def test_nothing_of_a_sheet_is_cut_off_at_100_columns(sheet: Sheet) -> None:
    assert "\N{HORIZONTAL ELLIPSIS}" not in sheet_text(sheet, "levee-rounds", Look(100))


def test_a_row_is_never_wrapped(sheet: Sheet) -> None:
    text = sheet_text(sheet, "levee-rounds", Look(100))
    for section in sheet.sections:
        for row in section.rows:
            assert any(line.startswith(str(row[0])) for line in text.splitlines())


def test_a_table_that_is_too_wide_is_cut_into_several_that_repeat_the_labels() -> None:
    lines = section_text(WIDE, Look(60)).splitlines()
    assert max(map(len, lines)) <= 60
    assert sum(line.startswith("knee") for line in lines) > 1
    shown = " ".join(line for line in lines if line.startswith("knee"))
    assert [word for word in shown.split() if word != "knee"] == [
        f"{100 + n}.0" for n in range(20)
    ]


def test_without_colour_there_are_no_escapes_and_the_verdict_is_in_words(sheet: Sheet) -> None:
    plain = sheet_text(sheet, "levee-rounds", Look(100, colour=False))
    coloured = sheet_text(sheet, "levee-rounds", Look(100, colour=True))
    assert "\x1b" not in plain
    assert "\x1b[32m" in coloured
    assert "meets every limit" in plain


def test_marks_of_the_style_language_are_text() -> None:
    section = Section("odd", "Odd [bold]", ("name",), (("[red]knee[/red]",),))
    text = section_text(section, Look(100))
    assert "Odd [bold]" in text
    assert "[red]knee[/red]" in text


def test_units_stand_in_the_head_and_numbers_have_four_digits(sheet: Sheet) -> None:
    text = section_text(sheet.section("mass"), Look(100))
    assert "[kg]" in text
    assert text.count(" kg") == 0
    total = number(sheet.section("mass").row("whole robot")["predicted"])
    assert f"{total:.2f}" in text


def test_a_column_without_a_value_says_so() -> None:
    cells = [amount(float("nan"), "kg"), amount(2.0, "kg")]
    assert aligned(cells, cells) == ("no value", "2.000")


def test_very_small_numbers_keep_their_digits() -> None:
    cells = [amount(4.86e-5, "kg*m^2")]
    assert aligned(cells, cells) == ("4.86e-05",)


def test_html_is_escaped_and_has_every_section(sheet: Sheet) -> None:
    html = sheet_html(sheet, "<script>")
    assert "<script>" not in html
    assert html.count("<table>") == len(sheet.sections)
