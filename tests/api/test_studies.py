"""Studies that are not searched: looked through, one design evaluated."""

import pytest
from fastapi.testclient import TestClient

from tradeopt.report.section import plain_sheet
from tradeopt.report.sheet import design_sheet, evaluate_design
from tradeopt.services.asked import pointer
from tradeopt.services.evaluate import changed
from tradeopt.study.read import load

STUDY = load("levee_rounds")
BODY = {"study": STUDY.text, "files": dict(STUDY.files)}


def test_a_sound_study_says_what_it_asks(client: TestClient) -> None:
    told = client.post("/v1/check", json=BODY).json()
    assert (told["valid"], told["errors"]) == (True, [])
    asked = told["asked"]
    assert (asked["name"], asked["study_sha256"]) == ("levee-rounds", STUDY.digest)
    assert [one["path"] for one in asked["variables"]] == [
        one.path for one in STUDY.problem.variables
    ]
    assert {one["name"]: one["highest"] for one in asked["objectives"]} == {
        "range": True,
        "total_mass": False,
    }
    shown = {one["name"]: one["shown"] for one in asked["limits"]}
    assert shown["winding_temperature"] == "at most 120 degC"
    assert shown["endurance"] == "at least 4 h"


def test_problems_have_their_places(client: TestClient) -> None:
    text = STUDY.text.replace("stiffness: 60 N*m/rad", "stiffness: 60 kg")
    told = client.post("/v1/check", json=BODY | {"study": text}).json()
    assert (told["valid"], told["asked"]) == (False, None)
    (error,) = told["errors"]
    line = text.split("\n")[error["line"] - 1]
    assert line[error["column"] - 1 :].startswith("60 kg")
    assert error["pointer"] == "/robot/drives/ankle_pitch/spring/stiffness"
    assert "got '60 kg', which is a mass" in error["detail"]
    refused = client.post("/v1/evaluate", json=BODY | {"study": text})
    assert refused.status_code == 422
    assert refused.json()["errors"] == [error]


def test_a_problem_of_another_file_points_into_that(client: TestClient) -> None:
    (name,) = STUDY.files
    files = {name: STUDY.files[name].replace("phase", "phaze", 1)}
    told = client.post("/v1/check", json={"study": STUDY.text, "files": files}).json()
    assert {(one["file"], one["pointer"]) for one in told["errors"]} == {(name, None)}


@pytest.mark.parametrize(
    ("where", "data", "expected"),
    [
        ("study", {}, ""),
        ("objectives.1", {"objectives": [1, 2]}, "/objectives/1"),
        ("limits.range.brisk", {"limits": {"range.brisk": "x"}}, "/limits/range.brisk"),
        ("a/b.c~d", {"a/b": {"c~d": 1}}, "/a~1b/c~0d"),
        ("robot.frme", {"robot": {"frame": 1}}, "/robot/frme"),
    ],
)
def test_pointers_are_those_of_rfc_6901(where: str, data: object, expected: str) -> None:
    assert pointer(where, data) == expected


def test_one_design_is_evaluated_while_one_waits(client: TestClient) -> None:
    told = client.post(
        "/v1/evaluate", json=BODY | {"set": {"robot.battery.parallel": "14"}}
    ).json()
    study, design = changed(STUDY, {"robot.battery.parallel": "14"})
    sheet = design_sheet(study, evaluate_design(study, design), design[None])
    expected = plain_sheet(sheet)
    assert told["changes"] == {"robot.battery.parallel": "14"}
    assert {name: told[name] for name in expected} == expected
    mission = next(one for one in told["tables"] if one["name"] == "mission")
    name, reach = mission["rows"][0][:2]
    assert (name, reach["shown_in"]) == ("range", "km")
    assert reach["shown"] == str(sheet.section("mission").row("range")["value"])


def test_values_that_cannot_be_used_are_named(client: TestClient) -> None:
    wrong = {"robot.battery.parallel": "14 kg", "robot.battery.paralel": "3"}
    answer = client.post("/v1/evaluate", json=BODY | {"set": wrong})
    assert answer.status_code == 422
    assert [one["where"] for one in answer.json()["errors"]] == [
        "robot.battery.parallel",
        "robot.battery.paralel",
    ]
