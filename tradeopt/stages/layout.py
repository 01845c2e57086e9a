"""Layout: where the drives sit, the room they take, and how near the legs come to each other."""

import numpy as np

from tradeopt import quantities as q
from tradeopt.arrays import Array, Flags
from tradeopt.chain.kind import Kind, Number, Step, Word
from tradeopt.chain.stage import Values
from tradeopt.physics import envelope
from tradeopt.physics.walking.clearance import (
    FootShape,
    LegGaps,
    LegLine,
    leg_gaps,
    leg_line,
)
from tradeopt.stages import slots

_PITCH, _ROLL = (q.JOINTS.index(name) for name in ("ankle_pitch", "ankle_roll"))
_THIGH, _SHANK = (q.BODIES.index(name) for name in ("thigh", "shank"))
_PITCHES, _ROLLS = (np.arange(len(q.JOINTS)) == joint for joint in (_PITCH, _ROLL))
_PAIRS = np.triu_indices(len(q.JOINTS), k=1)
_ANKLE_PAIR = (_PAIRS[0] == _PITCH) & (_PAIRS[1] == _ROLL)
_Y, _Z = 1, 2

_ARRANGEMENTS = ("as_mounted", "nested", "side_by_side")
_NESTED, _SIDE_BY_SIDE = (_ARRANGEMENTS.index(word) for word in ("nested", "side_by_side"))

_LENGTHS = (
    q.HIP_SPACING,
    q.THIGH_LENGTH,
    q.SHANK_LENGTH,
    q.ANKLE_HEIGHT,
    q.FOOT_LENGTH,
    q.FOOT_WIDTH,
    q.HEEL_LENGTH,
)


def _size(values: Values) -> Values:
    size = envelope.cylinder_box(
        np.maximum(values[q.MOTOR_DIAMETER.name], values[q.TRANSMISSION_DIAMETER.name]),
        values[q.MOTOR_LENGTH.name] + values[q.TRANSMISSION_LENGTH.name],
        values[q.MOUNT_AXIS.name],
    )
    body, position = _arranged(values, size)
    place = position + _origins(values, body)
    drive_gap = _drive_gap(values, place, size)
    hip_gap, hip_width = _hips(values, body, place[..., _Y], size[..., _Y] / 2.0)
    shank_width = _shank_width(values, body, position[..., _Y], size[..., _Y] / 2.0)
    spacing = values[q.HIP_SPACING.name]
    return {
        q.DRIVE_BODY.name: body,
        q.DRIVE_POSITION.name: position,
        q.DRIVE_SIZE.name: size,
        q.DRIVE_GAP.name: drive_gap,
        q.HIP_WIDTH.name: hip_width,
        q.HIP_GAP.name: hip_gap,
        q.SHANK_WIDTH.name: shank_width,
        q.DRIVE_GAP_MARGIN.name: (drive_gap - values["clearance"]) / spacing,
        q.HIP_GAP_MARGIN.name: (hip_gap - values["clearance"]) / spacing,
        q.SHANK_WIDTH_MARGIN.name: 1.0 - shank_width / values["widest_shank"],
    }


def _arranged(values: Values, size: Array) -> tuple[Array, Array]:
    """Return body and place of every drive, the ankle's two as their word says."""
    body, position = values[q.MOUNT_BODY.name], values[q.MOUNT_POSITION.name]
    chosen, clearance = values["ankle_drives"][:, None], values["clearance"][:, None]
    nested, beside = chosen == _NESTED, chosen == _SIDE_BY_SIDE
    rolls = (nested | beside) & _ROLLS
    body = np.where(rolls, body[:, _PITCH, None], body)
    position = np.where(rolls[..., None], position[:, _PITCH, None], position)
    apart = (size[:, _PITCH] + size[:, _ROLL]) / 2.0
    down = np.where(nested & _ROLLS, apart[:, _Z, None] + clearance, 0.0)
    # the pair stays in the middle of where the pitch drive is mounted
    left = np.where(beside & _PITCHES, (size[:, _ROLL, _Y, None] + clearance) / 2.0, 0.0)
    right = np.where(beside & _ROLLS, (size[:, _PITCH, _Y, None] + clearance) / 2.0, 0.0)
    return body, position + np.stack([np.zeros_like(down), left - right, -down], axis=-1)


def _origins(values: Values, body: Array) -> Array:
    """Return the origin of each drive's body in the torso, the left leg straight and upright."""
    length = values[q.BODY_LENGTH.name]
    torso = np.zeros_like(length[:, :1])
    down = np.append(torso, -np.cumsum(length, axis=1)[:, :-1], axis=1)
    half = np.broadcast_to(values[q.HIP_SPACING.name][:, None] / 2.0, length[:, 1:].shape)
    aside = np.append(torso, half, axis=1)
    origins = np.stack([np.zeros_like(down), aside, down], axis=-1)
    return np.take_along_axis(origins, body.astype(np.int64)[..., None], axis=1)


def _drive_gap(values: Values, place: Array, size: Array) -> Array:
    first, second = _PAIRS
    gaps = envelope.box_gap(place[:, second] - place[:, first], size[:, first], size[:, second])
    # a pair that was laid out with the clearance has it
    laid_out = values["ankle_drives"] != _ARRANGEMENTS.index("as_mounted")
    gap: Array = np.where(laid_out[:, None] & _ANKLE_PAIR, np.inf, gaps).min(axis=1)
    return gap


def _hips(values: Values, body: Array, place: Array, half: Array) -> tuple[Array, Array]:
    """Return gap between and width over the two hips: their drives, and their bare bodies."""
    spacing = values[q.HIP_SPACING.name]
    bare = values[q.BODY_WIDTH.name][:, 1:_THIGH].max(axis=1)
    counted = body < _THIGH
    inner = np.minimum(2.0 * _least(place - half, counted), spacing - bare)
    outer = np.maximum(-2.0 * _least(-place - half, counted), spacing + bare)
    return inner, outer


def _shank_width(values: Values, body: Array, place: Array, half: Array) -> Array:
    """Return the width over the shank and the drives on it."""
    bare = values[q.BODY_WIDTH.name][:, _SHANK] / 2.0
    counted = body == _SHANK
    width: Array = np.maximum(-_least(-place - half, counted), bare) - np.minimum(
        _least(place - half, counted), -bare
    )
    return width


def _least(array: Array, counted: Flags) -> Array:
    """Return the least over the joints that count; infinite where none does."""
    least: Array = np.where(counted, array, np.inf).min(axis=1)
    return least


def _duty(values: Values) -> Values:
    gaps = _middle_line_gaps(values)
    reach = envelope.inward_reach(
        values[q.DRIVE_POSITION.name][..., _Y], values[q.DRIVE_SIZE.name][..., _Y]
    )
    knee_gap = _knee_gap(values, gaps, reach)
    clearance = _leg_clearance(values, gaps, reach)
    asked, spacing = values["clearance"][:, None], values[q.HIP_SPACING.name][:, None]
    return {
        q.KNEE_GAP.name: knee_gap,
        q.LEG_CLEARANCE.name: clearance,
        q.KNEE_GAP_MARGIN.name: (knee_gap - asked) / spacing,
        q.LEG_CLEARANCE_MARGIN.name: (clearance - asked) / spacing,
    }


def _middle_line_gaps(values: Values) -> LegGaps:
    """Return distances between the legs' middle lines, each of shape (design, gait)."""
    motion = values[q.JOINT_ANGLE.name]
    lengths = np.stack([values[one.name] for one in _LENGTHS], axis=-1)
    return leg_gaps(_line(np.moveaxis(motion, 1, 2), lengths[:, None]))


def _line(motion: Array, lengths: Array) -> LegLine:
    hip_spacing, thigh, shank, ankle_height, foot_length, width, heel = np.moveaxis(lengths, -1, 0)
    foot = FootShape(ankle_height, heel, foot_length - heel, width)
    return leg_line(motion, hip_spacing, thigh, shank, foot)


def _knee_gap(values: Values, gaps: LegGaps, reach: Array) -> Array:
    """Return the gap between thighs and shanks with what is mounted on them, (design, gait)."""
    bare = values[q.BODY_WIDTH.name][:, (_THIGH, _SHANK)].max(axis=1)
    body, drop = values[q.DRIVE_BODY.name], -values[q.DRIVE_POSITION.name][..., _Z]
    knees, ankles = gaps.knees[:, None], gaps.ankles[:, None]
    hips = values[q.HIP_SPACING.name][:, None, None]
    found: Array = gaps.knees - bare[:, None]
    for limb, length, above, below in (
        (_THIGH, q.THIGH_LENGTH, hips, knees),
        (_SHANK, q.SHANK_LENGTH, knees, ankles),
    ):
        along = np.clip(drop / values[length.name][:, None], 0.0, 1.0)[..., None]
        # the least of a sum is no less than the sum of the leasts, so this is on the safe side
        gap = above + along * (below - above) - 2.0 * reach[..., None]
        on_limb = (body == limb)[..., None]
        found = np.minimum(found, np.where(on_limb, gap, np.inf).min(axis=1))
    return found


def _leg_clearance(values: Values, gaps: LegGaps, reach: Array) -> Array:
    """Return the least distance of foot and shank from those of the other leg, (design, gait)."""
    on_shank = values[q.DRIVE_BODY.name] == _SHANK
    bare = values[q.BODY_WIDTH.name][:, _SHANK] / 2.0
    shank = np.maximum(-_least(-reach, on_shank), bare)[:, None]
    foot = values[q.FOOT_WIDTH.name][:, None] / 2.0
    to_other_foot = np.minimum(gaps.feet - 2.0 * foot, gaps.foot_to_shank - foot - shank)
    least: Array = np.minimum(to_other_foot, gaps.shanks - 2.0 * shank)
    return least


BOXES = Kind(
    "boxes",
    slots.LAYOUT,
    "drives as cylinders in boxes, shanks and feet as capsules",
    (
        Word(
            "ankle_drives",
            _ARRANGEMENTS,
            "as_mounted: each at its own mount; nested: the roll drive right below the pitch "
            "drive; side_by_side: both at the height of the pitch drive",
        ),
        Number(
            "clearance", "m", "least gap between what must not touch", (0.003, 0.02), above=0.0
        ),
        Number("widest_shank", "m", "widest that the shank may be", (0.12, 0.3), above=0.0),
    ),
    {
        "size": Step(
            (
                q.MOUNT_BODY,
                q.MOUNT_POSITION,
                q.MOUNT_AXIS,
                q.MOTOR_DIAMETER,
                q.MOTOR_LENGTH,
                q.TRANSMISSION_LENGTH,
                q.TRANSMISSION_DIAMETER,
                q.BODY_LENGTH,
                q.BODY_WIDTH,
                q.HIP_SPACING,
            ),
            _size,
        ),
        "duty": Step(
            (
                *_LENGTHS,
                q.JOINT_ANGLE,
                q.DRIVE_BODY,
                q.DRIVE_POSITION,
                q.DRIVE_SIZE,
                q.BODY_WIDTH,
            ),
            _duty,
        ),
    },
)
