"""URDF as text: what is read, every mistake at its line, and what a hostile file cannot do."""

import time
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.oracles.urdf_robot import Writing, urdf
from tradeopt.errors import Problem, StudyError
from tradeopt.study import xml_reader
from tradeopt.study.place import MOST_PROBLEMS
from tradeopt.study.urdf import read_robot

HEAD = '<robot name="r">\n<link name="a"/>\n<link name="b"/>\n'
GOOD = (
    '<joint name="j" type="revolute"><parent link="a"/><child link="b"/>'
    '<limit lower="-1" upper="1"/></joint>\n'
)
MOMENTS = 'ixx="{}" ixy="0" ixz="0" iyy="{}" iyz="0" izz="{}"'


def problems_of(text: str) -> tuple[Problem, ...]:
    with pytest.raises(StudyError, match=r"r\.urdf:\d+:\d+: ") as caught:
        read_robot(text, "r.urdf")
    return caught.value.problems


def body(mass: str = '<mass value="2"/>', moments: str = MOMENTS.format(0.1, 0.1, 0.1)) -> str:
    return (
        f'<robot>\n<link name="a"><inertial>{mass}\n<inertia {moments}/></inertial></link></robot>'
    )


def test_a_joint_and_its_links_are_read() -> None:
    robot = read_robot(HEAD + GOOD + "</robot>", "r.urdf")
    joint = robot.joints["j"]
    assert (robot.root, joint.parent, joint.child) == ("a", "a", "b")
    # what the format means where nothing is said: no offset, and the x axis
    np.testing.assert_array_equal(joint.axis, [1.0, 0.0, 0.0])
    np.testing.assert_array_equal(joint.rotation, np.eye(3))
    assert (joint.lower, joint.upper) == (-1.0, 1.0)


def test_an_axis_is_made_of_length_one() -> None:
    turned = GOOD.replace("<limit", '<axis xyz="0 3 4"/><limit')
    joint = read_robot(HEAD + turned + "</robot>", "r.urdf").joints["j"]
    np.testing.assert_allclose(joint.axis, [0.0, 0.6, 0.8])


def test_joints_are_ordered_from_the_root_outward() -> None:
    robot = read_robot(urdf(Writing(split=0.2, arms=2.0)), "r.urdf")
    known = {robot.root}
    for joint in robot.joints.values():
        assert joint.parent in known
        known.add(joint.child)
    assert known == robot.links.keys()


@pytest.mark.parametrize(
    ("text", "place", "got", "want"),
    [
        ("", (1, 1, "file"), "no XML (no element found)", "closed in order"),
        ("<robot>", (1, 8, "file"), "no XML (no element found)", "closed in order"),
        ("<robot>\n <link></robot>", (2, 10, "file"), "mismatched tag", "closed in order"),
        ("<robot/>", (1, 1, "robot"), "0 links without a joint above", "one link"),
        ("<sdf/>", (1, 1, "file"), "<sdf>", "<robot>"),
        (
            '<robot xmlns:xacro="x">\n<xacro:leg/><link name="a"/></robot>',
            (2, 1, "file"),
            "<xacro:leg>",
            "macros expanded",
        ),
        (HEAD + "</robot>", (1, 1, "robot"), "2 links without a joint above: a, b", "one link"),
        (HEAD + "<link/></robot>", (4, 1, "link"), "no name", "a name"),
        (HEAD + '<link name="a"/></robot>', (4, 1, "a"), "a second link 'a'", "each name once"),
        (HEAD + GOOD + GOOD + "</robot>", (5, 1, "j"), "a second joint 'j'", "each name once"),
        (
            HEAD + GOOD.replace("revolute", "revolut") + "</robot>",
            (4, 1, "j"),
            "type 'revolut'",
            "one of: revolute",
        ),
        (
            HEAD + GOOD.replace('<child link="b"/>', "") + "</robot>",
            (4, 1, "j"),
            "without two links",
            "<parent> and <child>",
        ),
        (
            HEAD + GOOD.replace('link="b"', 'link="bb"') + "</robot>",
            (4, 1, "j"),
            "a link 'bb' that is not there",
            "a link",
        ),
        (
            HEAD + GOOD + GOOD.replace('"j"', '"k"') + "</robot>",
            (5, 1, "k"),
            "a second joint above the link 'b'",
            "a tree",
        ),
        (
            HEAD + GOOD.replace('<limit lower="-1" upper="1"/>', "") + "</robot>",
            (4, 1, "j"),
            "no <limit>",
            "limits",
        ),
        (
            HEAD + GOOD.replace('upper="1"', 'upper="-2"') + "</robot>",
            (4, 68, "j"),
            "limits from -1 to -2",
            "lower below upper",
        ),
        (
            HEAD + GOOD.replace("<limit", '<axis xyz="0 0 0"/><limit') + "</robot>",
            (4, 1, "j"),
            "an axis of no length",
            "a direction",
        ),
        (
            HEAD + GOOD.replace("<limit", '<origin xyz="0 0 1e999"/><limit') + "</robot>",
            (4, 68, "origin"),
            "xyz='0 0 1e999'",
            "3 finite numbers",
        ),
        (
            HEAD + GOOD.replace("<limit", '<origin rpy="0 0"/><limit') + "</robot>",
            (4, 68, "origin"),
            "rpy='0 0'",
            "3 finite numbers",
        ),
        (body(mass='<mass value="nan"/>'), (2, 26, "mass"), "value='nan'", "a finite number"),
        (body(mass="<mass/>"), (2, 26, "mass"), "no value", "a finite number"),
        (body(mass='<mass value="-2"/>'), (2, 26, "a"), "a mass of -2 kg", "0 kg or more"),
        (body(mass=""), (2, 16, "a"), "no <mass>", "a mass and an inertia"),
        (
            body(moments=MOMENTS.format(0.1, 0.1, 0.3)),
            (3, 1, "a"),
            "principal moments of 0.1, 0.1, 0.3 kg*m^2",
            "larger than the other two together",
        ),
        (
            body(moments=MOMENTS.format(0.1, -0.1, 0.1)),
            (3, 1, "a"),
            "principal moments of -0.1",
            "negative",
        ),
    ],
)
def test_what_is_refused_and_where(
    text: str, place: tuple[int, int, str], got: str, want: str
) -> None:
    problem = problems_of(text)[0]
    assert (problem.line, problem.column, problem.where) == place
    assert got in problem.got
    assert want in problem.want


def test_a_circle_of_joints_is_refused() -> None:
    circle = (
        '<link name="c"/><link name="d"/>'
        '<joint name="k" type="fixed"><parent link="c"/><child link="d"/></joint>\n'
        '<joint name="l" type="fixed"><parent link="d"/><child link="c"/></joint>'
    )
    problems = problems_of(HEAD + GOOD + circle + "</robot>")
    assert {one.where for one in problems} == {"k", "l"}
    assert {one.got for one in problems} == {"joints in a circle"}


def test_several_mistakes_are_told_at_once_with_near_names() -> None:
    text = (
        HEAD
        + GOOD.replace("revolute", "Revolute")
        + GOOD.replace('"j"', '"k"').replace('<limit lower="-1" upper="1"/>', "")
    )
    problems = problems_of(text + "</robot>")
    assert [(one.line, one.near) for one in problems] == [(4, "revolute"), (5, None)]


BOMB = (
    '<!DOCTYPE robot [<!ENTITY a "aaaaaaaaaa">'
    + "".join(f'<!ENTITY a{n} "{f"&a{n - 1};" * 10 if n else "&a;" * 10}">' for n in range(9))
    + ']>\n<robot name="&a8;"/>'
)


@pytest.mark.parametrize(
    ("text", "got"),
    [
        (BOMB, "a document type or entity"),
        ('<!DOCTYPE robot SYSTEM "file:///etc/passwd"><robot/>', "a document type or entity"),
        ('<!DOCTYPE r [<!ENTITY % x SYSTEM "http://localhost/">%x;]><robot/>', "a document type"),
        ("<a>" * 100_000, "more than 32 elements inside one another"),
        ("<robot>" + "<link/>" * 100_000, "more than 20000 elements"),
        ("<robot " + " ".join(f'a{n}=""' for n in range(100_000)) + "/>", "0 links"),
        ("<robot name='" + "x" * 2_000_000 + "'/>", "characters"),
        ("<robot>\x00</robot>", "not well-formed"),
        ("<robot name='\ud800'/>", "0 links"),
        ('<?xml version="1.0" encoding="utf-16"?><robot/>', "0 links"),
        ("&lol;", "no XML"),
        ("<robot>&lol;</robot>", "undefined entity"),
    ],
    ids=range(12),
)
def test_a_hostile_file_is_refused_in_short_time(text: str, got: str) -> None:
    start = time.process_time()
    assert got in problems_of(text)[0].got
    assert time.process_time() - start < 3.0


def test_a_chain_of_three_thousand_links_is_read_in_short_time() -> None:
    links = "".join(f'<link name="l{n}"/>' for n in range(3000))
    joints = "".join(
        f'<joint name="j{n}" type="fixed"><parent link="l{n}"/><child link="l{n + 1}"/></joint>'
        for n in reversed(range(2999))
    )
    start = time.process_time()
    robot = read_robot(f"<robot>{links}{joints}</robot>", "r.urdf")
    assert len(robot.joints) == 2999
    assert time.process_time() - start < 3.0


def test_thousands_of_wrong_names_are_told_in_short_time() -> None:
    links = "".join(f'<link name="left_link_{n}"/>' for n in range(3000))
    joints = "".join(
        f'<joint name="j{n}" type="fixed"><parent link="left_lnk_{n}"/><child link="x"/></joint>'
        for n in range(3000)
    )
    start = time.process_time()
    assert len(problems_of(f"<robot>{links}{joints}</robot>")) == MOST_PROBLEMS
    assert time.process_time() - start < 3.0


def test_no_other_file_is_opened(tmp_path: Path) -> None:
    secret = tmp_path / "secret"
    secret.write_text("hush", encoding="utf-8")
    text = f'<!DOCTYPE r [<!ENTITY x SYSTEM "{secret}">]><robot name="&x;"/>'
    assert all("hush" not in str(problem) for problem in problems_of(text))


def test_no_more_problems_than_anybody_reads() -> None:
    assert len(problems_of("<robot>" + "<link/>" * 500 + "</robot>")) == MOST_PROBLEMS


XML_LIKE = st.text(alphabet="<>/\"'= \n\r&;![]?-robtlinkjame01.", max_size=80)


def refusal(text: str) -> StudyError | None:
    try:
        read_robot(text, "r.urdf")
    except StudyError as error:
        return error
    return None


@given(st.one_of(XML_LIKE, XML_LIKE.map(lambda inside: f"<robot>{inside}</robot>"), st.text()))
def test_any_text_is_read_or_refused_with_a_place(text: str) -> None:
    error = refusal(text)
    lines = len(xml_reader.Source("r.urdf", text).lines)
    for problem in error.problems if error else ():
        assert 1 <= (problem.line or 0) <= lines + 1
        assert (problem.column or 0) >= 1
        assert str(problem)


@given(st.integers(0, 4000), st.sampled_from(["", "<", '"', "x", "-", "1e9", "/>", "&a;"]))
def test_any_change_of_a_robot_is_read_or_refused(place: int, put: str) -> None:
    text = urdf()
    changed = text[:place] + put + text[place + 1 :]
    error = refusal(changed)
    assert error is None or error.problems
