"""A picture of each gait of a study: the legs over a stride, joint angles, torques, foot load."""

import re
from pathlib import Path

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from tradeopt import quantities as q
from tradeopt.arrays import Array
from tradeopt.physics.walking.frame import Frame
from tradeopt.physics.walking.leg import leg_pose
from tradeopt.report.view import View, spoken
from tradeopt.study.compiled import CompiledStudy

POSES = 9
"""Poses drawn of a stride."""

SPREAD = 0.75
"""Distance from pose to pose, over the leg length."""

TORSO = 0.45
"""Height to which the torso is drawn, over the leg length."""

_NEAR, _FAR, _GROUND = "#1b4965", "#b8c4cc", "#8a8a8a"


def draw_gaits(problem: CompiledStudy, folder: Path) -> list[Path]:
    """
    Draw every gait of a study for its baseline.

    Parameters
    ----------
    problem : CompiledStudy
        The study.
    folder : Path
        Where the pictures go; made if it is not there.

    Returns
    -------
    list of Path
        One PNG a gait, in the order of the study.
    """
    folder.mkdir(parents=True, exist_ok=True)
    view = View(problem.evaluate(problem.baseline[np.newaxis]), 0)
    paths = []
    for number, name in enumerate(view.gaits):
        path = folder / f"{number + 1}_{re.sub(r'[^A-Za-z0-9_-]', '_', name)}.png"
        figure_of(view, number).savefig(path)
        paths.append(path)
    return paths


def figure_of(view: View, gait: int) -> Figure:
    """
    Draw one gait of one design.

    Parameters
    ----------
    view : View
        The design.
    gait : int
        Place of the gait in the study.

    Returns
    -------
    Figure
        Legs seen from the left, above the curves of the left leg over the stride.
    """
    figure = Figure(figsize=(12, 8), dpi=110, layout="constrained")
    rows = figure.add_gridspec(2, 3, height_ratios=(1.0, 1.0))
    speed, time = (view.of(one)[gait] for one in (q.WALKING_SPEED, q.STRIDE_TIME))
    pace = f"{speed:.2f} m/s, {time:.2f} s a stride" if speed > 0.0 else "on the spot"
    figure.suptitle(f"{spoken(view.gaits[gait])}: {pace}", fontsize=14)
    _draw_legs(figure.add_subplot(rows[0, :]), view, gait)
    angle, torque = (view.of(one)[:, gait] for one in (q.JOINT_ANGLE, q.JOINT_TORQUE))
    _draw_joints(figure.add_subplot(rows[1, 0]), np.degrees(angle), "joint angle [deg]")
    curves = figure.add_subplot(rows[1, 1])
    _draw_joints(curves, torque, "joint torque [N m]")
    figure.legend(*curves.get_legend_handles_labels(), loc="outside lower center", ncols=6)
    _draw_foot_load(figure.add_subplot(rows[1, 2]), view.of(q.FOOT_LOAD)[gait])
    return figure


def _draw_legs(axes: Axes, view: View, gait: int) -> None:
    """Draw both legs at some phases, one pose beside the other, the hips held in place."""
    frame = Frame(*(float(view.of(one)) for one in q.FRAME_LENGTHS))
    left = side_view(frame, view.of(q.JOINT_ANGLE)[:, gait])
    right = np.roll(left, q.PHASES // 2, axis=-1)
    load = view.of(q.FOOT_LOAD)[gait]
    places = np.rint(np.linspace(0, q.PHASES, POSES)).astype(int) % q.PHASES
    for number, phase in enumerate(places):
        across = number * SPREAD * frame.leg_length
        axes.plot([across, across], [0.0, TORSO * frame.leg_length], color=_NEAR, linewidth=4)
        for leg, colour, loaded in (
            (right, _FAR, load[(phase + q.PHASES // 2) % q.PHASES] > 0.0),
            (left, _NEAR, load[phase] > 0.0),
        ):
            forward, up = leg[:, :4, phase]
            axes.plot(across + forward, up, color=colour, linewidth=2.5, marker="o", markersize=4)
            forward, up = leg[:, 3:, phase]
            axes.plot(across + forward, up, color=colour, linewidth=3)
            if loaded:
                ends = across + forward[1:3]
                axes.plot(ends, up[1:3] - 0.015, color=_GROUND, linewidth=1.5)
        share = round(100 * number / (POSES - 1))
        below = -1.12 * frame.leg_length
        axes.text(across, below, f"{share} %", ha="center", color=_GROUND)
    axes.set_aspect("equal")
    axes.set_axis_off()
    axes.set_title(
        "seen from the left, torso upright; left leg dark, right leg light; "
        "a line below a sole: the ground carries it",
        fontsize=10,
        color=_GROUND,
    )


def side_view(frame: Frame, joint_angle: Array) -> Array:
    """
    Place the left leg in the plane ahead and up, seen from the hips of an upright torso.

    Parameters
    ----------
    frame : Frame
        Lengths of the leg [m].
    joint_angle : Array, shape (6, phase)
        Angles of the left leg [rad].

    Returns
    -------
    Array, shape (2, 7, phase)
        Ahead and up of hip, knee, ankle, ankle, toe, heel and ankle, so that a line through them
        draws leg and foot [m].
    """
    phases = joint_angle.shape[-1]
    upright = np.repeat(np.eye(3)[:, :, np.newaxis], phases, axis=2)
    pose = leg_pose(frame, np.zeros((3, phases)), upright, joint_angle)
    hip, knee, ankle = (
        pose.position[q.BODIES.index(body)] for body in ("hip_yaw", "shank", "foot")
    )
    turn = pose.rotation[-1]
    toe, heel = (
        ankle + along * turn[:, 0] - frame.ankle_height * turn[:, 2]
        for along in (frame.toe, -frame.heel)
    )
    points = np.stack((hip, knee, ankle, ankle, toe, heel, ankle))
    side: Array = points[:, [0, 2]].swapaxes(0, 1)
    return side


def _draw_joints(axes: Axes, curves: Array, label: str) -> None:
    """Draw a curve a joint over the stride."""
    share = np.arange(q.PHASES + 1) / q.PHASES * 100
    for name, curve in zip(q.JOINTS, curves, strict=True):
        dashed = "--" if name.endswith(("roll", "yaw")) else "-"
        axes.plot(share, np.append(curve, curve[0]), dashed, label=spoken(name), linewidth=1.6)
    axes.axhline(0.0, color=_GROUND, linewidth=0.8)
    axes.set_xlabel("share of the stride [%]")
    axes.set_ylabel(label)
    axes.set_xlim(0, 100)


def _draw_foot_load(axes: Axes, load: Array) -> None:
    """Draw what the ground carries of the robot, foot by foot."""
    axes.set_ylabel("foot load [N]")
    axes.set_xlabel("share of the stride [%]")
    axes.set_xlim(0, 100)
    if not load.any():
        axes.text(50, 0.5, "not recorded", ha="center", color=_GROUND)
        axes.set_ylim(0, 1)
        axes.set_yticks([])
        return
    share = np.arange(q.PHASES + 1) / q.PHASES * 100
    right = np.roll(load, q.PHASES // 2)
    for curve, colour, label in ((right, _FAR, "right foot"), (load, _NEAR, "left foot")):
        axes.plot(share, np.append(curve, curve[0]), color=colour, label=label, linewidth=2)
    axes.set_ylim(bottom=0.0)
    axes.legend(fontsize=9, loc="lower right")
