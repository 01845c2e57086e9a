"""What the page is given is what the service tells other programs, in the units of its heads."""

from base64 import b64decode
from typing import Any

import httpx2
import numpy as np
import pytest

from tests.browser.served import Served


def ask(site: Served, path: str) -> Any:
    return httpx2.get(f"{site.address}{path}").raise_for_status().json()


def unpacked(text: str) -> list[float]:
    return [float(one) for one in np.frombuffer(b64decode(text), "<f4")]


def test_the_table_holds_all_designs_of_the_run(site: Served) -> None:
    told = ask(site, f"/v1/runs/{site.run}/designs?limit=20000")
    names = [one["name"] for one in told["columns"]]
    rows = sorted(told["rows"])
    table = ask(site, f"/page/runs/{site.run}/table")
    assert table["size"] == told["total"] == len(rows)
    columns = {(one["role"], one["name"]): unpacked(one["values"]) for one in table["columns"]}
    order = np.argsort(columns["design", "design"])
    for role, name, scale in (("objective", "range", 1e3), ("objective", "total_mass", 1.0)):
        shown = np.array(columns[role, name])[order] * scale
        meant = np.array([row[names.index(name)] for row in rows], dtype=float)
        assert shown == pytest.approx(meant, rel=1e-6, nan_ok=True)


def test_the_front_of_the_table_is_the_front_of_the_run(site: Served) -> None:
    table = ask(site, f"/page/runs/{site.run}/table")
    numbers = np.array(unpacked(table["columns"][0]["values"]))
    shown = numbers[np.array(unpacked(table["front"])) > 0.0]
    told = ask(site, f"/v1/runs/{site.run}/front?limit=20000")
    place = [one["role"] for one in told["columns"]].index("number")
    assert sorted(shown) == sorted(row[place] for row in told["rows"])


def test_the_sheet_is_that_of_the_service(site: Served) -> None:
    page = ask(site, f"/page/runs/{site.run}/designs/{site.best}")
    told = ask(site, f"/v1/runs/{site.run}/designs/{site.best}/sheet")
    assert page["verdict"] == told["verdict"]
    assert [one["name"] for one in page["sections"]] == [one["name"] for one in told["tables"]]
    mission = next(one for one in page["sections"] if one["name"] == "mission")
    reach = next(row for row in told["sections"]["mission"] if row["quantity"] == "range")
    at = [row[0] for row in mission["rows"]].index("range")
    assert mission["numbers"][at][1] * 1e3 == pytest.approx(reach["value"]["value"])


def test_curves_agree_with_the_tables(site: Served) -> None:
    told = ask(site, f"/page/runs/{site.run}/designs/0")
    motors = next(one for one in told["sections"] if one["name"] == "motors")
    heads = [one["name"] for one in motors["heads"]]
    for row, drawn in zip(motors["numbers"], told["curves"]["torque_speed"], strict=True):
        gaits = [line for line in drawn["lines"] if not line["bound"]]
        peak = max(abs(torque) for line in gaits for torque in line["y"])
        assert peak == pytest.approx(row[heads.index("torque peak")], rel=1e-3)
        fastest = max(speed for line in gaits for speed in line["x"])
        assert fastest == pytest.approx(row[heads.index("speed peak")], rel=1e-3)


def test_a_constant_ratio_is_drawn_as_the_study_says_it(site: Served) -> None:
    told = ask(site, f"/page/runs/{site.run}/designs/0")
    (knee,) = (one for one in told["curves"]["ratio"] if one["title"] == "knee")
    # the knee of the baseline is geared 28 to 1
    found = [ratio for line in knee["lines"] for ratio in line["y"] if ratio is not None]
    assert found
    assert found == pytest.approx([28.0] * len(found), rel=1e-4)


def test_what_drives_it_counts_what_the_run_counts(site: Served) -> None:
    run = ask(site, f"/v1/runs/{site.run}")
    (limits, variables) = ask(site, f"/page/runs/{site.run}/drivers")["sections"]
    missed = {row[0]: row[2] for row, _ in zip(limits["rows"], limits["numbers"], strict=True)}
    for name, share in missed.items():
        assert float(share) == pytest.approx(
            100.0 * run["missed"][name] / run["designs"], abs=0.06
        )
    asked = ask(site, f"/v1/runs/{site.run}/study")
    assert [row[0] for row in variables["rows"]] == [one["path"] for one in asked["variables"]]
