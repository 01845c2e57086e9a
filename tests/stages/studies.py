"""The example study with other gaits and other variables."""

from collections.abc import Mapping

import numpy as np

from tradeopt.arrays import Array
from tradeopt.study.compiled import CompiledStudy
from tradeopt.study.read import load, loads

EXAMPLE = load("levee_rounds")

_STEP = "double_support: 25 %, knee_flexion: 20 deg, foot_clearance: 50 mm, step_width: 160 mm"
_LOAD = "payload: {mass: 0 kg, x: 0 mm, z: 250 mm}"

GAITS = {
    "climb": "kind: stairs, riser: 170 mm, tread: 280 mm, step_time: 0.8 s, body_lean: 2 deg, "
    f"{_STEP}",
    "descend": "kind: stairs, riser: -170 mm, tread: 280 mm, step_time: 0.9 s, body_lean: 2 deg, "
    f"{_STEP}",
    "rolling": "kind: pattern, speed: 1.0 m/s, step_time: 0.55 s, slope: 0 deg, "
    f"toe_off_angle: 25 deg, body_lean: 2 deg, {_STEP}",
    "uphill": "kind: pattern, speed: 0.5 m/s, step_time: 0.75 s, slope: 6 deg, "
    f"toe_off_angle: 0 deg, body_lean: 2 deg, {_STEP}",
    "sideways": f"kind: side_step, side_step: 150 mm, turn: 0 deg, step_time: 0.8 s, {_STEP}",
    "turning": f"kind: side_step, side_step: 0 mm, turn: 25 deg, step_time: 0.8 s, {_STEP}",
    "one_leg": "kind: one_foot, knee_flexion: 15 deg, foot_clearance: 50 mm, step_width: 160 mm, "
    "slope: 0 deg",
    "crouch": "kind: stand, knee_flexion: 80 deg, step_width: 180 mm, slope: 0 deg",
}
"""A gait of every kind that the example has not."""


def every_gait() -> str:
    """The example's text with all of `GAITS` before its last gait; none takes any time."""
    gaits = "".join(f"  {name}: {{{said}, {_LOAD}}}\n" for name, said in GAITS.items())
    return EXAMPLE.text.replace("  standing: {kind", f"{gaits}  standing: {{kind", 1)


def with_variables(variables: Mapping[str, str]) -> CompiledStudy:
    """The example with these variables before its own."""
    lines = "".join(f"  {path}: {said}\n" for path, said in variables.items())
    text = EXAMPLE.text.replace("\nvariables:\n", f"\nvariables:\n{lines}", 1)
    return loads(text, EXAMPLE.files).problem


def designs_of(problem: CompiledStudy, first: Array) -> Array:
    """The baseline with its first variables at other values, a row a design."""
    designs = np.tile(problem.baseline, (len(first), 1))
    designs[:, : first.shape[1]] = first
    return designs
