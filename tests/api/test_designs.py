"""Looking at designs: in bulk, within bounds, in every form, and one alone."""

import csv
import io
import json
from typing import Any

import numpy as np
import pyarrow as pa
import pytest
from fastapi.testclient import TestClient
from pyarrow import parquet

from tradeopt.arrays import Array
from tradeopt.search.designs import Designs

Found = tuple[str, Designs]

DESIGNS = "/v1/runs/toy-1/designs"


def table(client: TestClient, path: str, **params: Any) -> dict[str, Any]:
    answer = client.get(path, params=params)
    assert answer.status_code == 200, answer.text
    told: dict[str, Any] = answer.json()
    return told


def column(told: dict[str, Any], name: str) -> Array:
    place = [one["name"] for one in told["columns"]].index(name)
    return np.array([row[place] for row in told["rows"]], dtype=np.float64)


def test_designs_are_told_number_for_number(client: TestClient, found: Found) -> None:
    told = table(client, DESIGNS)
    designs = found[1]
    assert (told["total"], told["next"], len(told["rows"])) == (128, None, 128)
    assert column(told, "design").tolist() == designs.numbers.tolist()
    assert column(told, "feasible").tolist() == designs.feasible.tolist()
    np.testing.assert_array_equal(column(told, "range"), designs.objectives[:, 0])
    np.testing.assert_array_equal(column(told, "gear.ratio"), designs.values[:, 0])
    # the toy's heat limit is 80 K, so that a violation of 0.1 misses it by 8 K
    np.testing.assert_allclose(column(told, "left.heat"), -80.0 * designs.violations[:, 0])
    fan = next(one for one in told["columns"] if one["name"] == "fan")
    assert (fan["role"], fan["choices"]) == ("variable", ["no", "yes"])


def test_the_front_holds_what_no_other_design_beats(client: TestClient, found: Found) -> None:
    told = table(client, "/v1/runs/toy-1/front")
    kept = found[1].take(found[1].feasible)
    reach, mass = kept.objectives.T
    beaten = [
        bool(np.any((reach >= r) & (mass <= m) & ((reach > r) | (mass < m))))
        for r, m in zip(reach, mass, strict=True)
    ]
    best = kept.objectives[~np.array(beaten)]
    shown = np.column_stack([column(told, "range"), column(told, "mass")])
    assert len(shown) > 3
    # of equal designs one is enough
    np.testing.assert_array_equal(shown[::-1], np.unique(best, axis=0))
    assert np.all(np.diff(column(told, "range")) <= 0.0)


def test_a_column_says_how_it_is_read(client: TestClient) -> None:
    told = table(client, DESIGNS, columns="range,share", limit=1)
    reach, share = told["columns"]
    assert (reach["unit"], reach["shown_in"], reach["scale"]) == ("m", "km", 0.001)
    assert (share["unit"], share["shown_in"], share["scale"]) == ("1", "", 1.0)
    assert len(told["rows"][0]) == 2


def test_bounds_keep_those_within(client: TestClient, found: Found) -> None:
    told = table(client, DESIGNS, **{"min.range": "2 m", "max.mass": 4000, "feasible": "true"})
    designs = found[1]
    expected = designs.numbers[(designs.objectives[:, 0] >= 2.0) & designs.feasible]
    assert 0 < len(expected) < designs.feasible.sum()
    assert column(told, "design").tolist() == expected.tolist()
    missing = table(client, DESIGNS, feasible="false")
    assert missing["total"] == 128 - designs.feasible.sum()


def test_designs_without_a_value_are_outside_of_every_bound(
    client: TestClient, found: Found
) -> None:
    told = table(client, DESIGNS, **{"min.range": "-1e30"})
    without = np.isnan(found[1].objectives[:, 0])
    assert without.any()
    assert told["total"] == 128 - without.sum()


def test_pages_are_parts_of_the_whole(client: TestClient) -> None:
    whole = table(client, DESIGNS)["rows"]
    first = table(client, DESIGNS, limit=100)
    rest = table(client, DESIGNS, limit=100, offset=first["next"])
    assert [*first["rows"], *rest["rows"]] == whole
    assert rest["next"] is None


def test_a_sample_is_spread_over_the_search(client: TestClient) -> None:
    numbers = column(table(client, DESIGNS, sample=10), "design")
    assert len(numbers) == 10
    assert (numbers[0], numbers[-1]) == (0, 127)
    assert set(np.diff(numbers)) == {14.0, 15.0}  # 127 / 9 is 14.1


def test_csv_has_units_in_its_heads(client: TestClient, found: Found) -> None:
    answer = client.get(DESIGNS, params={"format": "csv", "feasible": "true", "limit": 1})
    assert answer.headers["content-type"] == "text/csv; charset=utf-8"
    assert "toy-1-designs.csv" in answer.headers["content-disposition"]
    (row,) = csv.DictReader(io.StringIO(answer.text))
    first = int(np.flatnonzero(found[1].feasible)[0])
    assert float(row["range [km]"]) == pytest.approx(found[1].objectives[first, 0] / 1000.0)
    assert row["fan"] == ("no", "yes")[int(found[1].values[first, 3])]
    assert (row["feasible"], row["run"], row["seed"]) == ("true", "toy-1", "7")


def test_parquet_has_units_and_provenance_in_its_metadata(
    client: TestClient, found: Found
) -> None:
    answer = client.get(DESIGNS, params={"format": "parquet"})
    told = parquet.read_table(pa.BufferReader(answer.content))
    np.testing.assert_array_equal(told["range"].to_numpy(), found[1].objectives[:, 0])
    assert told.schema.field("range").metadata[b"unit"] == b"m"
    made_from = json.loads(told.schema.metadata[b"tradeopt"])
    assert (made_from["run"], made_from["seed"]) == ("toy-1", 7)


@pytest.mark.parametrize(
    ("params", "detail"),
    [
        ({"min.rang": "2"}, "min.rang: got 'rang', want the name of a column (near: 'range')"),
        ({"max.mass": "3 m"}, "max.mass: got '3 m', which is a length"),
        ({"max.mass": "nan"}, "max.mass: got 'nan', want a number in kg"),
        ({"min.fan": "1"}, "min.fan: got '1', want nothing: fan is a choice"),
        ({"columns": "range,weight"}, "columns: got 'weight', want the name of a column"),
        ({"minrange": "1"}, "minrange: got a parameter that is not known"),
        ({"limit": "0"}, "limit: Input should be greater than or equal to 1"),
        ({"format": "xlsx"}, "format: Input should be 'json', 'csv' or 'parquet'"),
    ],
)
def test_what_a_table_cannot_give_is_said(
    client: TestClient, params: dict[str, str], detail: str
) -> None:
    answer = client.get(DESIGNS, params=params)
    assert answer.status_code == 422
    assert answer.json()["detail"].startswith(detail)
    assert len(answer.json()["errors"]) == 1


def test_every_problem_of_a_wish_is_told_at_once(client: TestClient) -> None:
    told = client.get(DESIGNS, params={"min.x": "1", "max.mass": "1 m", "columns": "y"}).json()
    assert [one["where"] for one in told["errors"]] == ["columns", "min.x", "max.mass"]


def test_one_design_is_told_in_the_words_of_the_study(client: TestClient, found: Found) -> None:
    for row in range(0, 128, 31):
        told = client.get(f"{DESIGNS}/{row}").json()
        expected = found[1].take(np.array([row]))
        assert told["feasible"] == expected.feasible[0]
        assert told["variables"]["gear.ratio"] == expected.values[0, 0]
        assert told["variables"]["fan"] == ("no", "yes")[int(expected.values[0, 3])]
        assert told["objectives"]["mass"] == expected.objectives[0, 1]
        assert list(told["violations"].values()) == expected.violations[0].tolist()


def test_a_design_without_a_value_is_told_as_such(client: TestClient, found: Found) -> None:
    number = int(np.flatnonzero(np.isnan(found[1].objectives[:, 0]))[0])
    told = client.get(f"{DESIGNS}/{number}").json()
    assert told["objectives"]["range"] is None
    assert told["feasible"] is False
    assert np.isnan(column(table(client, DESIGNS), "range")[number])
