"""Cooling by shape in the chain: each part of it does what it is paid for."""

import pytest

from tests.stages.studies import EXAMPLE
from tradeopt import quantities as q
from tradeopt.study.read import loads

_CAN = (
    "winding_film: 150 W/(m^2*K), "
    "conduction_ring: {bore: 38 mm, build: 6 mm, length: 0 mm, conductivity: 180 W/(m*K), "
    "contact: 900 W/(m^2*K), density: 2700 kg/m^3}, "
    "potting: {share: 0 %, gap: 2 mm, conductivity: 1.1 W/(m*K), density: 1800 kg/m^3}, "
    "emissivity: 85 %, open_area: 1, housing_at: 65 degC, structure: 0 W/K, maturity: new"
)
STILL = f"{{kind: still_can, {_CAN}}}"
BLOWN = (
    f"{{kind: blown_can, {_CAN}, fan: {{free_flow: 18 m^3/h, stall_pressure: 90 Pa, "
    "efficiency: 20 %, speed: 100 %, mass: 60 g}, channel: {area: 12 cm^2, loss_number: 2.5}}"
)
JOINT = "hip_roll"
PLACE = q.JOINTS.index(JOINT)


def cooled(cooling: str, *, altitude: str = "120 m", ambient: str = "28 degC") -> dict[str, float]:
    """What the chain says of one joint of the baseline with another cooling there."""
    start = EXAMPLE.text.index("cooling: {", EXAMPLE.text.index(f"    {JOINT}:\n"))
    end = EXAMPLE.text.index("}\n", start) + 1
    text = EXAMPLE.text[:start] + f"cooling: {cooling}" + EXAMPLE.text[end:]
    text = text.replace("altitude: 120 m", f"altitude: {altitude}")
    text = text.replace("ambient: 28 degC", f"ambient: {ambient}")
    problem = loads(text, EXAMPLE.files).problem
    values = problem.evaluate(problem.baseline[None]).values
    names = (
        "cooling_mass",
        "cooling_power",
        "winding_to_housing",
        "housing_to_air",
        "still_housing_to_air",
    )
    found = {name: float(values[name][0, PLACE]) for name in names}
    found["winding"] = float(values["mission_winding_temperature"][0, PLACE].max())
    return found


def changed(cooling: str, old: str, new: str) -> dict[str, float]:
    assert old in cooling
    return cooled(cooling.replace(old, new, 1))


def test_a_ring_ties_the_winding_to_the_housing() -> None:
    bare, ringed = cooled(STILL), changed(STILL, "length: 0 mm", "length: 8 mm")
    # 2 pi l/(ln(r_o/r_i)/k + 1/(h r_i)) beside what is there, and the ring's own mass
    ring = 2 * 3.14159265 * 0.008 / (0.146603474 / 180.0 + 1.0 / (900.0 * 0.038))
    assert 1 / ringed["winding_to_housing"] == pytest.approx(
        1 / bare["winding_to_housing"] + ring, rel=1e-6
    )
    mass = 2700.0 * 3.14159265 * (0.044**2 - 0.038**2) * 0.008
    assert ringed["cooling_mass"] - bare["cooling_mass"] == pytest.approx(mass, rel=1e-6)
    assert ringed["winding"] < bare["winding"] - 1.0


def test_potting_ties_it_as_well() -> None:
    bare, potted = cooled(STILL), changed(STILL, "share: 0 %", "share: 40 %")
    # winding 64 cm^2, stack 18 mm for the family's 16 mm
    area = 0.4 * 64e-4 * 18 / 16
    assert 1 / potted["winding_to_housing"] == pytest.approx(
        1 / bare["winding_to_housing"] + 1.1 * area / 0.002, rel=1e-9
    )
    assert potted["cooling_mass"] == pytest.approx(1800.0 * area * 0.002, rel=1e-9)
    assert potted["winding"] < bare["winding"] - 0.5


def test_the_structure_takes_heat_away() -> None:
    bare, mounted = cooled(STILL), changed(STILL, "structure: 0 W/K", "structure: 0.4 W/K")
    assert 1 / mounted["housing_to_air"] == pytest.approx(1 / bare["housing_to_air"] + 0.4)
    assert mounted["winding"] < bare["winding"] - 1.0


def test_a_polished_housing_and_a_closed_stator_are_warmer() -> None:
    bare = cooled(STILL)
    assert changed(STILL, "emissivity: 85 %", "emissivity: 10 %")["winding"] > bare["winding"] + 2
    assert changed(STILL, "open_area: 1", "open_area: 1.8")["winding"] < bare["winding"] - 2


def test_a_film_given_as_one_number_is_of_the_size_that_shapes_give() -> None:
    """The example takes 13 W/(m^2 K) for convection and radiation together."""
    area = 560e-4 * 18 / 16
    film = 1 / (cooled(STILL)["housing_to_air"] * area)
    assert 9.0 < film < 15.0


def test_a_fan_cools_while_it_runs() -> None:
    still, blown = cooled(STILL), cooled(BLOWN)
    assert blown["housing_to_air"] < 0.6 * still["housing_to_air"]
    assert blown["still_housing_to_air"] == pytest.approx(still["housing_to_air"])
    assert blown["cooling_mass"] == pytest.approx(0.06)
    assert 0.1 < blown["cooling_power"] < 5.0
    slow = changed(BLOWN, "speed: 100 %", "speed: 80 %")
    assert slow["cooling_power"] == pytest.approx(0.512 * blown["cooling_power"], rel=1e-9)
    assert slow["housing_to_air"] > blown["housing_to_air"]


@pytest.mark.parametrize("cooling", [STILL, BLOWN], ids=["still", "blown"])
def test_thin_air_cools_less(cooling: str) -> None:
    low, high = cooled(cooling), cooled(cooling, altitude="3000 m")
    assert high["housing_to_air"] > 1.05 * low["housing_to_air"]
    assert high["winding"] > low["winding"] + 1.0


@pytest.mark.parametrize("cooling", [STILL, BLOWN], ids=["still", "blown"])
def test_a_hot_day_is_passed_on_and_a_little_more(cooling: str) -> None:
    cool, hot = cooled(cooling), cooled(cooling, ambient="43 degC")
    assert 14.0 < hot["winding"] - cool["winding"] < 22.0
