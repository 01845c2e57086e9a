"""Where the power goes: by gait, by joint and by loss, from the pack to the joints."""

from dataclasses import dataclass

import numpy as np

from tradeopt import quantities as q
from tradeopt.arrays import Array
from tradeopt.report.amount import Cell, amount
from tradeopt.report.section import Section
from tradeopt.report.view import View

MISSION = "mission"
"""Column of the mission's mix of gaits."""

PARTS = ("joints", "springs", "transmissions", "copper", "iron", "electronics")
"""What the electric power of the drives is made of."""


@dataclass(frozen=True)
class PowerBalance:
    """Mean power of both legs in each gait [W], and last in the mission's mix.

    Attributes
    ----------
    drives : mapping of str to Array
        By part of `PARTS`: shape (joint, gait and mission).
    others : mapping of str to Array
        What does not belong to a joint: shape (gait and mission,).
    pack : Array
        Drawn from the pack, shape (gait and mission,).
    """

    drives: dict[str, Array]
    others: dict[str, Array]
    pack: Array


def power_balance(view: View) -> PowerBalance:
    """
    Take the power that a design draws apart.

    Parameters
    ----------
    view : View
        The design.

    Returns
    -------
    PowerBalance
        Its parts; they add up to what the pack gives.

    Notes
    -----
    Over a stride the pack gives, per leg, joint power (torque times speed, net of what comes
    back), what springs take (nothing but what sampling leaves of it), and the losses; and for the
    whole robot fans, standby, and what regeneration loses of returned power. Rotors give back over
    a stride all that they take. Each part is worked out by itself, none is what the others leave.
    While the robot sits, standby alone is drawn.
    """
    joints = (view.of(q.JOINT_TORQUE) * view.of(q.JOINT_SPEED)).mean(axis=-1)
    one_leg = {
        "joints": joints,
        "springs": -(view.of(q.SPRING_TORQUE) * view.of(q.JOINT_SPEED)).mean(axis=-1),
        "transmissions": view.of(q.TRANSMISSION_LOSS),
        "copper": view.of(q.COPPER_LOSS),
        "iron": view.of(q.IRON_LOSS).mean(axis=-1),
        "electronics": view.of(q.DRIVE_LOSS),
    }
    gaits = len(view.gaits)
    fans = np.full(gaits, q.LEGS * view.of(q.COOLING_POWER).sum())
    standby = np.full(gaits, view.of(q.STANDBY_POWER))
    share = view.of(q.GAIT_SHARE)
    sitting = float(1.0 - share.sum()) * float(view.of(q.SITTING_POWER))
    return PowerBalance(
        {name: _with_mission(q.LEGS * part, share) for name, part in one_leg.items()},
        {
            "fans": _with_mission(fans, share),
            "standby": _with_mission(standby, share, sitting),
            "regeneration": _with_mission(view.of(q.REGENERATION_LOSS), share),
        },
        _with_mission(view.of(q.MEAN_POWER), share, sitting),
    )


def _with_mission(power: Array, share: Array, sitting: float = 0.0) -> Array:
    """Add the mean over the mission's time as a last column, with its share of sitting."""
    mean = power @ share + sitting
    return np.concatenate([power, mean[..., np.newaxis]], axis=-1)


def power_sections(view: View) -> tuple[Section, ...]:
    """
    Say where the power of a design goes.

    Parameters
    ----------
    view : View
        The design.

    Returns
    -------
    tuple of Section
        The balance by gait, then each gait and the mission by joint and by loss.
    """
    balance = power_balance(view)
    return _by_gait(view, balance), _by_joint(view, balance)


def _by_gait(view: View, balance: PowerBalance) -> Section:
    parts = {name: part.sum(axis=0) for name, part in balance.drives.items()} | balance.others
    rows = [(name, *_watts(part)) for name, part in parts.items()]
    rows.append(("pack", *_watts(balance.pack)))
    remark = (
        "mean power of both legs; joints: net mechanical power; springs: what springs keep "
        "over a stride; regeneration: lost on the way back to the pack"
    )
    heads = ("part", *view.gaits, MISSION)
    return Section("power", "Power by gait", heads, tuple(rows), remark)


def _by_joint(view: View, balance: PowerBalance) -> Section:
    rows: list[tuple[Cell, ...]] = []
    columns = [(MISSION, len(view.gaits)), *((gait, n) for n, gait in enumerate(view.gaits))]
    for gait, column in columns:
        for place, joint in enumerate(q.JOINTS):
            parts = np.array([balance.drives[name][place, column] for name in PARTS])
            rows.append((gait, joint, *_watts(np.append(parts, parts.sum()))))
    heads = ("gait", "joint", *PARTS, "drives")
    remark = "left and right together; drives: electric power, the sum of the row"
    return Section(
        "power_by_joint", "Power by joint and loss", heads, tuple(rows), remark, labels=2
    )


def _watts(powers: Array) -> tuple[Cell, ...]:
    return tuple(amount(float(power), "W") for power in powers)
