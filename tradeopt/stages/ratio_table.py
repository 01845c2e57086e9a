"""A transmission whose ratio over the joint angle comes from a table, measured or drawn."""

from tradeopt import quantities as q
from tradeopt.chain.kind import Column, File, Kind, Step
from tradeopt.chain.stage import Values
from tradeopt.physics import ratio
from tradeopt.stages import passing, slots
from tradeopt.stages.maturity import MATURITY

_PLACE = ("place",)
_COLUMNS = (
    Column("lowest", "rad", "lowest joint angle", (-2.0, -1.0)),
    Column("highest", "rad", "highest joint angle", (0.0, 1.0)),
    Column("ratio", "1", "motor turns per joint turn", (5, 40), _PLACE),
    Column("slope", "1/rad", "its derivative by the joint angle", (-20, 20), _PLACE),
)


def _size(values: Values) -> Values:
    by_torque = values["rated_torque"] * values["mass_per_torque"]
    mass = values["base_mass"] + by_torque
    return passing.sized(values, mass, values["length"], values["stiffness"])


def _duty(values: Values) -> Values:
    angle = values[q.JOINT_ANGLE.name]
    lowest, highest = values["curve.lowest"], values["curve.highest"]
    turned, slope = ratio.curve_at(
        values["curve.ratio"], values["curve.slope"], angle, lowest, highest
    )
    passage = passing.Passage(turned, slope, values["efficiency"][:, None, None])
    return passing.passed(values, passage, passing.rated_torque_margin(values)) | {
        q.TRANSMISSION_RANGE_MARGIN.name: ratio.range_margin(angle, lowest, highest)
    }


TABLE = Kind(
    "table",
    slots.TRANSMISSION,
    "a ratio over the joint angle from a table",
    (
        File("curve", "ratio", _COLUMNS, "columns joint_angle and ratio, angles rising"),
        passing.EFFICIENCY,
        *passing.SHAFT,
        passing.RATED_TORQUE,
        passing.MASS_PER_TORQUE,
        passing.STIFFNESS,
        passing.BASE_MASS,
        passing.LENGTH,
        MATURITY,
    ),
    {"size": Step((), _size), "duty": passing.angle_duty(_duty)},
)
