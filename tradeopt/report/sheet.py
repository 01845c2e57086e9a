"""The design sheet: all there is to say of one design, as plain data."""

import numpy as np

from tradeopt import quantities as q
from tradeopt.arrays import Array
from tradeopt.quantities import Quantity
from tradeopt.report.amount import Cell, size_of
from tradeopt.report.drives import drive_sections
from tradeopt.report.limits import limit_section, standings, verdict
from tradeopt.report.masses import mass_sections
from tradeopt.report.mission import facts, mission_sections
from tradeopt.report.power import power_sections
from tradeopt.report.recordings import recording_sections
from tradeopt.report.section import Section, Sheet
from tradeopt.report.springs import spring_sections
from tradeopt.report.transmissions import transmission_sections
from tradeopt.report.view import View
from tradeopt.report.warmth import warmth_sections
from tradeopt.stages.recorded_motion import OVER_FLAT_FOOT
from tradeopt.study.compiled import Evaluation
from tradeopt.study.problem import Variable
from tradeopt.study.study import Study

MODEL_LIMITS = (
    "The model has rigid bodies that follow the prescribed gait; it leaves out impacts, slipping "
    "and the flexing of parts.",
    "Winding and housing temperatures of a gait are those of going on for ever; those of a leg of "
    "the mission follow the study's heat model. Magnets are taken to be as warm as the housing.",
)
"""What the numbers leave out, whatever the design."""

CAUTIONS = (
    "Lithium packs can burn: cells, fuses, charging, transport and storage follow the codes in "
    "force where the robot is built and used, which come before this sheet.",
    "Windings and housings burn skin well below what they stand: guard them, measure before "
    "touching, and take the limit of touch from a copy of ISO 13732-1 for the material and the "
    "time of contact.",
    "Springs, ropes and belts under load let go at once: keep hands and faces out of their reach, "
    "and unload them before work.",
    "A walking machine falls, also when power fails: keep people out of its reach, and leave the "
    "proof of its safety to those who are licensed to give it.",
)
"""What to mind before anything is built."""


def evaluate_design(study: Study, design: Array) -> Evaluation:
    """
    Evaluate one design; where a law does not hold its value is NaN, without a warning.

    Parameters
    ----------
    study : Study
        The study.
    design : Array
        Shape (variable,), SI; a choice is its place in the list.

    Returns
    -------
    Evaluation
        Of a batch of one.
    """
    with np.errstate(all="ignore"):
        return study.problem.evaluate(design[np.newaxis])


def design_sheet(study: Study, evaluation: Evaluation, designs: Array, row: int = 0) -> Sheet:
    """
    Put together all there is to say of one design.

    Parameters
    ----------
    study : Study
        The study.
    evaluation : Evaluation
        What its chain said of `designs`.
    designs : Array
        Shape (design, variable), SI; a choice is its place in the list.
    row : int
        Which of them.

    Returns
    -------
    Sheet
        Verdict, tables and notes.
    """
    view = View(evaluation, row)
    found = standings(view, study.problem.limits)
    sections = (
        *mission_sections(view),
        limit_section(found),
        _variables(study, designs[row]),
        *mass_sections(view),
        *power_sections(view),
        *drive_sections(view),
        *transmission_sections(view),
        *spring_sections(view),
        *warmth_sections(view),
        *recording_sections(view),
        _battery(view),
    )
    finite = all(np.isfinite(view.of(q_of(study, one.name))) for one in study.problem.objectives)
    return Sheet(
        study=study.name,
        digest=study.digest,
        verdict=verdict(found),
        feasible=finite and all(one.missed <= 0.0 for one in found),
        sections=sections,
        notes=(*_gait_notes(study, view), *MODEL_LIMITS, *CAUTIONS),
    )


def q_of(study: Study, name: str) -> Quantity:
    """Return the quantity of this name that the study's chain gives."""
    return study.problem.chain.quantities[name]


def _battery(view: View) -> Section:
    rows = facts(
        view,
        q.PACK_ENERGY,
        q.BATTERY_MASS,
        q.RUN_TIME,
        q.LOW_BUS_VOLTAGE,
        q.PACK_LOSS,
        q.PACK_CURRENT_MARGIN,
        q.PACK_POWER_MARGIN,
        q.CHARGE_CURRENT_MARGIN,
        q.CHARGE_VOLTAGE_MARGIN,
        q.CELL_COLD_MARGIN,
    )
    return Section("battery", "Battery", ("quantity", "value", "meaning"), rows)


def _variables(study: Study, design: Array) -> Section:
    rows: list[tuple[Cell, ...]] = [
        (one.path, variable_cell(one, value), variable_cell(one, base), variable_bounds(one))
        for one, value, base in zip(
            study.problem.variables, design, study.problem.baseline, strict=True
        )
    ]
    heads = ("variable", "value", "baseline", "bounds")
    return Section("variables", "Variables", heads, tuple(rows))


def variable_cell(variable: Variable, value: float) -> Cell:
    """Return a variable of a design as the study would say it."""
    said = variable.label(value)
    return said if isinstance(said, str) else size_of(said, variable.unit)


def variable_bounds(variable: Variable) -> str:
    """Say from where to where a variable may go."""
    if variable.choices:
        return f"{len(variable.choices)} choices"
    lower, upper = (size_of(bound, variable.unit) for bound in (variable.lower, variable.upper))
    return f"{lower.number} to {upper}"


def _gait_notes(study: Study, view: View) -> list[str]:
    """Tell what the recorded gaits take for granted."""
    notes = []
    strides, scaled = view.of(q.RECORDED_STRIDES), view.of(q.SCALED_TORQUE)
    for number, gait in enumerate(view.gaits):
        if scaled[number]:
            notes.append(
                f"The gait {gait} is recorded: its torques are scaled by weight and leg length, "
                "so it does not feel where in the leg a mass sits."
            )
        elif strides[number]:
            is_flat = study.problem.values.get(f"gaits.{gait}.torso") == OVER_FLAT_FOOT
            notes.append(
                f"The gait {gait} follows recorded joint angles: left and right leg are taken for "
                "mirror images, and feet for what does not slip"
                + (", nor tilts while it stands alone (flat)." if is_flat else ".")
            )
    return notes
