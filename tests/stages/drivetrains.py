"""The example study with another transmission at the knee."""

from functools import cache

from tests.stages.studies import EXAMPLE
from tradeopt import quantities as q
from tradeopt.study.compiled import CompiledStudy, Evaluation
from tradeopt.study.read import loads

KNEE = q.JOINTS.index("knee")
SHAFT = "drag: 0.03 N*m, shaft_inertia: 1e-5 kg*m^2, maturity: new"

FOUR_BAR = (
    "kind: four_bar, links: {input: 58 mm, coupler: 235 mm, output: 47 mm, ground: 218 mm}, "
    "output_angle: 146 deg, input_side: behind, ground_angle: 0 deg, lowest_angle: -75 deg, "
    "highest_angle: 0 deg, least_transmission_angle: 40 deg, "
    "room: {along: 320 mm, across: 150 mm}, gear_ratio: 25, gear_efficiency: 92 %, "
    "linkage_efficiency: 98 %, gear_torque: 180 N*m, coupler_force: 6 kN, gear_mass: 0.5 kg, "
    "mass_per_torque: 7 g/(N*m), link_mass: 0.8 kg/m, pivot_mass: 0.2 kg, "
    f"gear_stiffness: 12 kN*m/rad, coupler_stiffness: 20 MN/m, length: 30 mm, {SHAFT}"
)
CONSTANT = (
    "kind: constant, ratio: 25, efficiency: 90.16 %, rated_torque: 180 N*m, "
    "mass_per_torque: 7 g/(N*m), stiffness: 12 kN*m/rad, base_mass: 0.5 kg, length: 30 mm, "
    f"{SHAFT}"
)


@cache
def with_knee(transmission: str) -> CompiledStudy:
    """The example with this transmission at the knee, whose variables are left out."""
    start = EXAMPLE.text.index("    knee:\n")
    first = EXAMPLE.text.index("transmission: {", start)
    line = EXAMPLE.text.index("\n", first)
    text = EXAMPLE.text[:first] + f"transmission: {{{transmission}}}" + EXAMPLE.text[line:]
    kept = [
        one for one in text.split("\n") if not one.startswith("  robot.drives.knee.transmission")
    ]
    return loads("\n".join(kept), EXAMPLE.files).problem


@cache
def at_knee(transmission: str) -> Evaluation:
    """The baseline with this transmission at the knee."""
    problem = with_knee(transmission)
    return problem.evaluate(problem.baseline[None])
