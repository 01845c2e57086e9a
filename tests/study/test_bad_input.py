"""What is refused in a study file: every problem, its place, what came and what was wanted."""

import re
import time

import pytest

from tests.study.bad import references, values, variables
from tests.study.edits import (
    CSV,
    EXAMPLE,
    FILE,
    STRIDE,
    Case,
    edited,
    marked,
    problems_of,
    without,
)
from tradeopt.errors import StudyError
from tradeopt.study.layout import MOST_ENTRIES
from tradeopt.study.place import MOST_PROBLEMS
from tradeopt.study.read import load
from tradeopt.study.text import LARGEST_FILE

KNEE = "robot.drives.knee"
GEOMETRY = "thigh, shank, ankle_height, hip_spacing, foot"


def cases(listed: list[Case]) -> pytest.MarkDecorator:
    params = [pytest.param(source, told, id=name) for name, source, told in listed]
    return pytest.mark.parametrize(("source", "told"), params)


@cases([*values.CASES, *variables.CASES, *references.CASES])
def test_one_mistake_is_told_once_at_its_place(
    source: str, told: tuple[str, str, str, str | None]
) -> None:
    bad = marked(source)
    (place,) = bad.places
    (problem,) = problems_of(bad.text)
    where, got, want, near = told
    assert (problem.where, problem.got, problem.near) == (where, got, near)
    expected = re.escape(want.removesuffix("...")) + (".+" if want.endswith("...") else "")
    assert re.fullmatch(expected, problem.want)
    assert (problem.file, problem.line, problem.column) == (FILE, *place)
    assert problem.text == bad.text.split("\n")[place[0] - 1]


def told(source: str) -> list[tuple[str, str, int | None, int | None]]:
    return [(one.where, one.got, one.line, one.column) for one in problems_of(source)]


def test_every_mistake_of_a_file_is_told_at_once_in_the_order_of_the_file() -> None:
    source = edited("name", "§levee rounds")
    source = edited("robot.frame.thigh", "§6 kg", source)
    source = edited(f"{KNEE}.cooling.kind", "§fna", source)
    source = edited("robot.battery.series", "§2.5", source)
    source = edited("mission.inspection.gait", "§stnding", source)
    source = edited("variables.robot.battery.parallel", "{from: §24, to: 4}", source)
    source = edited("objectives.range", "§rnge", source, key=True)
    source = edited("limits.endurance", "§4 h", source)
    bad = marked(edited("search.seed", "§seven", source))
    places = [(line, column) for _, _, line, column in told(bad.text)]
    assert places == sorted(bad.places)


def test_problems_of_the_study_come_before_those_of_its_recorded_stride() -> None:
    source = edited("robot.frame.thigh", "6 kg")
    found = problems_of(source, {STRIDE: CSV.replace("knee_angle [deg]", "nee_angle [deg]")})
    assert [(one.file, one.got) for one in found] == [
        (FILE, "'6 kg', which is a mass"),
        (STRIDE, "an unknown column 'nee_angle'"),
    ]


@pytest.mark.parametrize(
    ("section", "depth", "place", "want"),
    [
        ("format", 0, (3, 1), "1, the format of this file"),
        ("name", 0, (3, 1), "letters, digits, - and _, at most 60 of them, such as levee-rounds"),
        ("surroundings", 0, (3, 1), "a table with kind, gravity, ambient, altitude"),
        ("mission", 0, (3, 1), "a table with one leg or more, each under its name"),
        ("stages", 0, (3, 1), "a table with round, mass, heat, "),
        ("objectives", 0, (3, 1), "a table, such as 'range: highest'"),
        ("search", 0, (3, 1), "a table with time, designs, seed, method, sampler, islands, stop"),
        ("frame", 2, (9, 1), f"a table with kind, {GEOMETRY}"),
        ("bodies", 2, (9, 1), "a table with torso, hip_yaw, hip_roll, thigh, "),
        ("electronics", 2, (9, 1), "a table with kind, fixed_loss, "),
        ("standby", 2, (9, 1), "a table with kind, computing, sensing, "),
        ("ankle_height", 4, (10, 3), "a length in m, such as '400 mm'"),
    ],
)
def test_a_missing_part_is_told_at_what_should_hold_it(
    section: str, depth: int, place: tuple[int, int], want: str
) -> None:
    problem, *followers = problems_of(without(section, depth=depth))
    assert (problem.got, problem.line, problem.column) == ("nothing", *place)
    assert problem.where.endswith(section)
    assert problem.want.startswith(want)
    assert problem.want == want or want.endswith(", ")
    # what is missing cannot be searched either
    assert all(one.where.startswith(f"variables.robot.{section}.") for one in followers)


def test_a_missing_robot_does_not_make_its_variables_wrong() -> None:
    found = told(without("robot"))
    assert ("robot", "nothing", 3, 1) in found
    assert not [where for where, _, _, _ in found if ".transmission." in where]


def test_a_study_without_variables_is_told_of_parameters_without_a_kind() -> None:
    ankle = "robot.drives.ankle_pitch.spring"
    found = {where: got for where, got, _, _ in told(without("variables"))}
    assert found["variables"] == "nothing"
    assert found[f"{ankle}.engagement_angle"] == (
        "'engagement_angle', which one_sided has, not two_way"
    )
    assert not [where for where in found if where.startswith("variables.")]


@pytest.mark.parametrize(
    ("gaits", "got"), [("", "nothing"), ("gaits: {}\n", "an empty table")], ids=["none", "empty"]
)
def test_a_study_without_gaits_is_refused(gaits: str, got: str) -> None:
    source = (
        without("gaits", without("mission"))
        + f"{gaits}mission: {{rest: {{kind: sit, time: 5 min}}}}\n"
    )
    (problem,) = problems_of(source)
    assert (problem.where, problem.got) == ("gaits", got)
    assert problem.want == "a table with one gait or more, each under its name"


@pytest.mark.parametrize("value", ["null", "[steady]", "7"])
def test_something_else_for_the_gaits_is_refused(value: str) -> None:
    bad = marked(without("gaits") + f"gaits: §{value}\n")
    problem = problems_of(bad.text)[-1]
    assert (problem.where, problem.line, problem.column) == ("gaits", *bad.places[0])
    assert problem.want == "a table with one gait or more, each under its name"


def test_more_gaits_than_a_study_may_have() -> None:
    gait = "  g{}: {{kind: stand, knee_flexion: 15 deg, step_width: 180 mm, slope: 0 deg}}\n"
    many = "".join(gait.format(number) for number in range(MOST_ENTRIES))
    bad = marked(EXAMPLE.replace("  standing: {kind", f"{many}  standing: {{kind"))
    first = bad.text.split("\n").index(gait.format(MOST_ENTRIES - 2).rstrip()) + 1
    problem = next(one for one in problems_of(bad.text) if one.got == "one gait more")
    assert (problem.where, problem.line) == (f"gaits.g{MOST_ENTRIES - 2}", first)
    assert problem.want == f"at most {MOST_ENTRIES} gaits"


@pytest.mark.parametrize(
    ("cooling", "where", "wants"),
    [
        ("{}", f"{KNEE}.cooling", {"kind": "one of: still_air, fan, still_can, blown_can"}),
        ("{kind: still_air}", f"{KNEE}.cooling", {"winding_film": "a heat transfer coefficient"}),
        ("fan", f"{KNEE}.cooling", {"mass": "a mass in kg", "power": "a power in W"}),
    ],
    ids=["kind", "parameters", "one word"],
)
def test_what_a_kind_needs_is_told_one_by_one_at_its_place(
    cooling: str, where: str, wants: dict[str, str]
) -> None:
    source = without("  robot.drives.knee.cooling.kind", depth=0)
    bad = marked(
        edited(f"{KNEE}.cooling", cooling, source).replace(
            f"cooling: {cooling}\n", f"§cooling: {cooling}\n"
        )
    )
    found = {one.where: one for one in problems_of(bad.text)}
    for name, want in wants.items():
        problem = found[f"{where}.{name}"]
        assert (problem.got, problem.line, problem.column) == ("nothing", *bad.places[0])
        assert problem.want.startswith(want)


def test_a_searched_kind_needs_what_any_of_its_choices_needs() -> None:
    source = edited(
        "variables.robot.drives.hip_pitch.spring.kind.choices", "[none, two_way, one_sided]"
    )
    bad = marked(
        source.replace(
            "spring: {kind: two_way, stiffness: 30", "§spring: {kind: two_way, stiffness: 30"
        )
    )
    spring = "robot.drives.hip_pitch.spring"
    assert told(bad.text) == [
        (f"{spring}.engagement_angle", "nothing", *bad.places[0]),
        (f"{spring}.wound_by", "nothing", *bad.places[0]),
    ]
    assert [one.want for one in problems_of(bad.text)] == [
        "an angle in rad, such as '15 deg'",
        "one of: extending, flexing",
    ]


def test_a_baseline_kind_that_is_none_of_the_choices() -> None:
    source = edited("variables.robot.drives.knee.cooling.kind.choices", "[still_air, still_air]")
    bad = marked(edited(f"{KNEE}.cooling.kind", "§fan", source))
    found = told(bad.text)
    got = "'fan', which is none of the variable's choices"
    assert (f"{KNEE}.cooling.kind", got, *bad.places[0]) in found


@pytest.mark.parametrize(
    ("spec", "problems"),
    [
        ("{}", {"from": "nothing", "to": "nothing"}),
        (
            "{from: 8 kg, to: 40}",
            {"from": "'8 kg', which is a mass", "to": "'40', a number without a unit"},
        ),
    ],
    ids=["missing", "wrong"],
)
def test_both_bounds_are_told(spec: str, problems: dict[str, str]) -> None:
    path = "variables.robot.drives.knee.motor.stack_length"
    found = told(edited(path, spec))
    assert {where: got for where, got, _, _ in found} == {
        f"{path}.{name}": got for name, got in problems.items()
    }


def test_bounds_for_a_word_are_told_with_the_choices_that_are_missing() -> None:
    path = "variables.robot.drives.knee.motor.family"
    bad = marked(edited(path, "{§from: 1, §to: 2}"))
    choices, *bounds = problems_of(bad.text)
    assert (choices.where, choices.got) == (f"{path}.choices", "nothing")
    assert choices.want == "a list of two or more of: demo-flat, demo-slim, demo-open"
    assert [(one.line, one.column) for one in bounds] == bad.places
    assert {one.want for one in bounds} == {"choices: robot.drives.knee.motor.family is a word"}


@pytest.mark.parametrize(
    ("text", "got"),
    [
        ("", "an empty file"),
        ("# nothing\n", "an empty file"),
        ("- a list\n", "a list"),
        ("a: &a [x]\nb: [*a, *a]\n", "the anchor '&a'"),
        ("a: " + "[" * 5000, "lists or groups too deep inside one another"),
        ("a: " + "x" * 50_000_000, f"{50_000_003} characters"),
        ("a: " + "9" * 1_000_000, f"{1_000_003} characters"),
    ],
    ids=["empty", "remark", "list", "references", "nested", "50 MB", "1 MB value"],
)
def test_no_study_at_all_is_refused_in_short_time(text: str, got: str) -> None:
    start = time.process_time()
    problem = problems_of(text)[0]
    assert problem.got == got
    assert problem.line == 1
    assert time.process_time() - start < 2.0


@pytest.mark.parametrize(
    "text",
    [
        "".join(f"unknown{number}: 1\n" for number in range(5000)),
        "variables:\n" + "".join(f"  robot.frame.th{n}: {{from: 1}}\n" for n in range(5000)),
        "objectives:\n" + "".join(f"  total_mass{number}: up\n" for number in range(5000)),
        "limits:\n" + "".join(f"  total_mass{number}: '<= 1'\n" for number in range(5000)),
        "gaits:\n" + "".join(f"  g{number}:\n" for number in range(5000)),
        "mission:\n" + "".join(f"  g{number}:\n" for number in range(5000)),
        edited("variables.robot.drives.knee.motor.family.choices", f"[{'demo-flat,' * 5000}]"),
        edited("variables.robot.drives.knee.motor.family.choices", f"[{'demo-falt,' * 5000}]"),
    ],
    ids=["names", "variables", "objectives", "limits", "gaits", "mission", "choices", "misspelt"],
)
def test_a_file_with_thousands_of_mistakes_is_refused_in_short_time(text: str) -> None:
    assert len(text) < LARGEST_FILE
    start = time.process_time()
    assert 1 <= len(problems_of(text)) <= MOST_PROBLEMS
    assert time.process_time() - start < 2.0


@pytest.mark.parametrize(
    ("source", "message"),
    [
        (
            "levee_round",
            r"STUDY: got no file 'levee_round', want a study file, or an example: "
            r".*\(near: 'levee_rounds'\)",
        ),
        ("nowhere.yaml", "nowhere.yaml: got no file of that name, want a study file"),
        (".", r"got a directory, want a study file"),
        ("a" * 5000, "a file that cannot be read"),
        ("a\0b", r"STUDY: got no file 'a\\x00b'"),
    ],
    ids=["example", "missing", "folder", "long", "nul"],
)
def test_no_file_of_a_study(source: str, message: str) -> None:
    with pytest.raises(StudyError, match=message):
        load(source)
