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

_TRAIN = (
    "ratio: 25, stages: 2, stage_step: 1.2, least_stage_ratio: 3, largest_stage_ratio: 8, "
    "rated_torque: 180 N*m, stiffness: 12 kN*m/rad, "
    f"stage_mass: 0.2 kg, stage_length: 15 mm, diameter: 90 mm, {SHAFT}"
)
SPUR = (
    "kind: spur, stage_efficiency: 97 %, pinion_inertia: 2e-7 kg*m^2, "
    f"pinion_mass_per_torque: 1.3 g/(N*m), {_TRAIN}"
)
PLANETARY = (
    f"kind: planetary, mesh_efficiency: 97 %, planets: 3, "
    f"sun_inertia: 2e-7 kg*m^2, sun_mass_per_torque: 13 g/(N*m), {_TRAIN}"
)
_SINGLE = (
    "rated_torque: 180 N*m, mass_per_torque: 7 g/(N*m), stiffness: 12 kN*m/rad, "
    f"length: 30 mm, diameter: 90 mm, {SHAFT}"
)
STRAIN_WAVE = (
    "kind: strain_wave, ratio: 50, wave_mass: 0.3 kg, wave_efficiency: 75 %, "
    f"wave_least_ratio: 30, wave_largest_ratio: 160, {_SINGLE}"
)
CYCLOID = (
    "kind: cycloid, ratio: 25, cycloid_mass: 0.3 kg, cycloid_efficiency: 80 %, "
    f"cycloid_least_ratio: 8, cycloid_largest_ratio: 80, {_SINGLE}"
)
ROPE = (
    "kind: rope, ratio: 20, rope_stages: 2, fixing: anchored, drum_diameter: 36 mm, "
    "largest_sheave: 200 mm, turns: 6, friction: 0.12, strand: 200 mm, pretension: 1600 N, "
    "rope_diameter: 3 mm, wire_diameter: 0.15 mm, wire_modulus: 200 GPa, wire_strength: 1960 MPa, "
    "breaking_force: 13 kN, rope_safety_factor: 4, least_diameter_ratio: 11, "
    "rope_stiffness: 350 kN, rope_mass: 30 g/m, wheel_mass: 12 kg/m^2, "
    "rope_base_mass: 0.5 kg, wheels: 2, "
    "wheel_efficiency: 98 %, bends_per_swing: 2, "
    f"life: {{constant: -1, load: 1.29, diameter: 8.149, mixed: -2.313}}, length: 40 mm, {SHAFT}"
)
TABLE = (
    "kind: table, curve: knee_ratio.csv, efficiency: 90.16 %, rated_torque: 180 N*m, "
    "mass_per_torque: 7 g/(N*m), stiffness: 12 kN*m/rad, base_mass: 0.9632 kg, length: 30 mm, "
    f"{SHAFT}"
)
SCREW_LEVER = (
    "kind: screw_lever, lead: 10 mm, lever: 50 mm, pivot_distance: 250 mm, lever_angle: 130 deg, "
    "lowest_angle: -75 deg, highest_angle: 0 deg, least_transmission_angle: 35 deg, "
    "shortest: 200 mm, longest: 300 mm, gear_ratio: 1, gear_efficiency: 100 %, "
    "screw_efficiency: 90 %, screw_force: 6 kN, core_diameter: 12 mm, screw_modulus: 205 GPa, "
    "screw_safety_factor: 2, screw_stiffness: 40 MN/m, screw_mass: 1.1 kg/m, "
    f"screw_base_mass: 0.6 kg, length: 30 mm, {SHAFT}"
)
BELT = (
    "kind: belt, ratio: 5, small_pulley_teeth: 18, pitch: 5 mm, belt_width: 30 mm, "
    "belt_strength: 120 kN/m, belt_stiffness: 20 MN/m, belt_mass: 4 kg/m^2, "
    "shaft_distance: 250 mm, largest_pulley: 160 mm, least_teeth_in_mesh: 6, "
    "belt_pretension: 1200 N, belt_efficiency: 97 %, pulley_mass: 20 kg/m^2, "
    f"belt_base_mass: 0.2 kg, length: 35 mm, {SHAFT}"
)


def with_knee_source(transmission: str) -> str:
    """Text of the example with this transmission at the knee, whose variables are left out."""
    start = EXAMPLE.text.index("    knee:\n")
    first = EXAMPLE.text.index("transmission: {", start)
    line = EXAMPLE.text.index("\n", first)
    text = EXAMPLE.text[:first] + f"transmission: {{{transmission}}}" + EXAMPLE.text[line:]
    kept = [
        one for one in text.split("\n") if not one.startswith("  robot.drives.knee.transmission")
    ]
    return "\n".join(kept)


@cache
def with_knee(transmission: str) -> CompiledStudy:
    """That study, read."""
    return loads(with_knee_source(transmission), EXAMPLE.files).problem


@cache
def at_knee(transmission: str) -> Evaluation:
    """The baseline with this transmission at the knee."""
    problem = with_knee(transmission)
    return problem.evaluate(problem.baseline[None])
