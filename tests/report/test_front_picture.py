import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from tests.report.test_front import Outline, made_view
from tradeopt.report.front import FrontView
from tradeopt.report.front_picture import MOST_CROSSES, draw_front

Views = tuple[FrontView, FrontView, FrontView]
"""Front, all designs, baseline."""


@pytest.fixture
def views() -> Views:
    tried = made_view(2 * MOST_CROSSES + 7, missed=-300.0)
    return made_view(5), tried, made_view(1)


def test_a_png_is_drawn(views: Views, tmp_path: Path) -> None:
    path = draw_front(*views, tmp_path / "front.png", "levee-1")
    assert path.read_bytes().startswith(b"\x89PNG")


def test_axes_have_names_units_and_direction(views: Views, tmp_path: Path) -> None:
    text = draw_front(*views, tmp_path / "front.svg", "levee-1").read_text(encoding="utf-8")
    for words in (
        "range [km], more is better",
        "total mass [kg], less is better",
        "front, 5 designs",
        "baseline, meets every limit",
        "misses a limit",
    ):
        assert f"<!-- {words} -->" in text


def test_the_same_front_is_drawn_alike_and_says_what_made_it(views: Views, tmp_path: Path) -> None:
    first, second = (
        draw_front(*views, tmp_path / name, "levee-1").read_bytes() for name in ("a.svg", "b.svg")
    )
    assert first == second
    assert b"run levee-1" in first


def test_many_designs_are_thinned(views: Views, tmp_path: Path) -> None:
    text = draw_front(*views, tmp_path / "front.svg", "levee-1").read_text(encoding="utf-8")
    # marks of both sorts beside the front, the baseline and the legend
    assert 100 < len(re.findall("<use ", text)) < 2 * MOST_CROSSES + 200


def test_a_study_with_one_objective_is_drawn_over_design_numbers(tmp_path: Path) -> None:
    view = made_view(4)
    single = replace(
        view,
        outline=Outline(objectives=view.outline.objectives[:1]),
        designs=replace(view.designs, objectives=view.designs.objectives[:, :1]),
    )
    path = draw_front(single, single, single, tmp_path / "front.svg", "levee-1")
    assert "<!-- design -->" in path.read_text(encoding="utf-8")


def test_designs_without_a_value_are_left_out(tmp_path: Path) -> None:
    view = made_view(4)
    objectives = view.designs.objectives.copy()
    objectives[1] = np.nan
    tried = replace(view, designs=replace(view.designs, objectives=objectives))
    path = draw_front(view, tried, made_view(1), tmp_path / "front.svg", "levee-1")
    assert "nan" not in path.read_text(encoding="utf-8").lower()
