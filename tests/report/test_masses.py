"""The mass statement against sums made from the chain's own arrays by other means."""

import pytest

from tests.report.cells import number
from tradeopt import quantities as q
from tradeopt.quantities import BODIES, JOINTS
from tradeopt.report.masses import mass_sections
from tradeopt.report.section import Section
from tradeopt.report.view import View
from tradeopt.study.compiled import Evaluation

THIGH = BODIES.index("thigh")


def kilograms(section: Section, head: str, rows: slice) -> list[float]:
    return [number(cell) for cell in section.column(head)[rows]]


def test_items_add_up_to_the_basic_growth_and_total_mass_of_the_chain(
    view: View, evaluation: Evaluation
) -> None:
    statement, _ = mass_sections(view)
    items = slice(0, -1)
    basic, growth, predicted = (
        sum(kilograms(statement, head, items)) for head in ("basic", "growth", "predicted")
    )
    total = float(evaluation.values["total_mass"][0])
    assert basic == pytest.approx(float(evaluation.values["basic_mass"][0]), rel=1e-12)
    assert predicted == pytest.approx(total, rel=1e-12)
    assert basic + growth == pytest.approx(total, rel=1e-12)
    assert number(statement.row("whole robot")["predicted"]) == pytest.approx(total, rel=1e-12)


def test_every_body_drive_and_the_battery_has_a_row(view: View) -> None:
    statement, _ = mass_sections(view)
    others = ("arms", "neck", "foot sensors")  # the other components are part of another item
    assert len(statement.rows) == len(BODIES) + len(JOINTS) + len(others) + 2
    assert number(statement.row("arms")["basic"]) == pytest.approx(8 * 0.45)


def test_both_legs_are_counted_and_the_torso_once(view: View, said: dict[str, float]) -> None:
    statement, _ = mass_sections(view)
    torso, thigh = statement.row("torso structure"), statement.row("thigh structure")
    assert (torso["count"], thigh["count"]) == ("1", "2")
    assert number(torso["basic"]) == pytest.approx(said["robot.bodies.torso.mass"])
    assert number(thigh["basic"]) == pytest.approx(2 * float(view.of(q.STRUCTURE_MASS)[THIGH]))
    allowance = said["stages.mass.growth.minor_change"]
    assert number(torso["growth"]) == pytest.approx(allowance * number(torso["basic"]))
    assert number(thigh["growth"]) == pytest.approx(allowance * number(thigh["basic"]))


def test_drives_and_battery_grow_by_the_allowances_of_the_study(
    view: View, said: dict[str, float]
) -> None:
    statement, _ = mass_sections(view)
    share = {word: said[f"stages.mass.growth.{word}"] for word in q.MATURITIES}
    for place, joint in enumerate(JOINTS):
        row = statement.row(f"{joint.replace('_', ' ')} drive")
        changed, new, cooling = (
            2.0 * sum(float(view.of(part)[place]) for part in parts)
            for parts in ((q.MOTOR_MASS, q.TRANSMISSION_MASS), (q.SPRING_MASS,), (q.COOLING_MASS,))
        )
        # the knee's ring is bought with its fan
        word = "off_the_shelf" if joint == "knee" else "minor_change"
        growth = share["minor_change"] * changed + share["new"] * new + share[word] * cooling
        assert number(row["growth"]) == pytest.approx(growth, rel=1e-9)
    battery = statement.row("battery")
    wanted = share["off_the_shelf"] * number(battery["basic"])
    assert number(battery["growth"]) == pytest.approx(wanted, rel=1e-9)


def test_parts_of_the_drives_add_up_both_ways(view: View, evaluation: Evaluation) -> None:
    _, drives = mass_sections(view)
    parts = ("motors", "transmissions", "springs", "cooling")
    total = drives.row("all joints")
    for part in parts:
        assert sum(kilograms(drives, part, slice(0, -1))) == pytest.approx(number(total[part]))
    assert sum(number(total[part]) for part in parts) == pytest.approx(number(total["drives"]))
    motors = 2.0 * float(evaluation.values["motor_mass"][0].sum())
    assert number(total["motors"]) == pytest.approx(motors)
