import re

import numpy as np

from tradeopt.report.question import question_sections
from tradeopt.study.study import Study

BASELINE = np.array([15_300.0, 86.5])
"""Range [m] and total mass [kg]; any numbers do."""


def test_limits_are_told_as_the_file_says_them(study: Study) -> None:
    (limits,) = (one for one in question_sections(study, BASELINE) if one.name == "limits")
    said = re.search(r"^limits:.*\n((?:  .*\n)+)", study.text, re.MULTILINE)
    assert said
    written = re.findall(r'  (\w+): "(.*)"', said[1])
    assert len(written) > 5
    for name, bound in written:
        assert str(limits.row(name)["bound"]) == bound


def test_every_value_of_the_study_is_told_once(study: Study) -> None:
    sections = question_sections(study, BASELINE)
    parts = [one for one in sections if one.heads[0] == "value_of"]
    told = [f"{part.name}.{row[0]}" for part in parts for row in part.rows]
    assert sorted(told) == sorted(study.problem.values)


def test_objectives_stand_beside_what_the_baseline_reaches(study: Study) -> None:
    objectives = question_sections(study, BASELINE)[0]
    assert [str(cell) for cell in objectives.column("baseline")] == ["15.3 km", "86.5 kg"]
    assert objectives.column("wanted") == ("highest", "lowest")
