"""Ratio curves: a table of a transmission's ratio over the joint angle, measured or drawn."""

import numpy as np

from tradeopt.arrays import Array
from tradeopt.chain.kind import File
from tradeopt.errors import Problem, StudyError
from tradeopt.quantities import PLACES
from tradeopt.study.place import MOST_PROBLEMS
from tradeopt.study.table import Table, check_angles, parse_table
from tradeopt.study.told import Told

ANGLE, RATIO = "joint_angle", "ratio"

LEAST_ROWS = 4
"""Rows of a curve that say something of its slope."""


def read_ratio(content: str, file: str, leaf: File, _told: Told) -> dict[str, Array]:
    """
    Read a ratio curve, resampled in even steps of the joint angle.

    Parameters
    ----------
    content : str
        CSV with units in its header: `joint_angle` that rises from row to row, and `ratio`, motor
        turns per joint turn, of one sign.
    file : str
        What to call it in messages.
    leaf : File
        Which columns are wanted.
    _told : Told
        What the study says beside it; nothing of it matters here.

    Returns
    -------
    dict of str to Array
        Ends of the range, and the ratio with its slope at `PLACES` angles between them.

    Raises
    ------
    StudyError
        With every problem found.

    Notes
    -----
    Cubic pieces that rise and fall only where the rows do (F. N. Fritsch, R. E. Carlson, SIAM J.
    Numer. Anal. 17:238-246, 1980, from memory).
    """
    from scipy.interpolate import PchipInterpolator  # noqa: PLC0415 - a fifth of every start, for few

    table = parse_table(content, {ANGLE: "rad", RATIO: "1"}, file=file)
    problems = (*check_angles(table), *_check_curve(table))
    if problems:
        raise StudyError(problems[:MOST_PROBLEMS])
    angle, ratio = table.numbers[ANGLE], table.numbers[RATIO]
    curve = PchipInterpolator(angle, ratio)
    places = np.linspace(angle[0], angle[-1], PLACES)
    found = {
        "lowest": angle[0],
        "highest": angle[-1],
        "ratio": curve(places),
        "slope": curve(places, 1),
    }
    return {one.name: np.asarray(found[one.name]) for one in leaf.columns}


def _check_curve(table: Table) -> list[Problem]:
    angle, ratio = table.numbers[ANGLE], table.numbers[RATIO]
    problems = [
        table.problem(
            ANGLE,
            row + 1,
            f"{angle[row + 1]:.6g} rad after {angle[row]:.6g} rad",
            "angles that rise from row to row",
        )
        for row in np.flatnonzero(np.diff(angle) <= 0.0).tolist()
    ]
    turned = ratio * np.sign(ratio[0])
    problems += [
        table.problem(RATIO, row, f"{ratio[row]:.6g}", "a ratio that keeps its sign and is not 0")
        for row in np.flatnonzero(turned <= 0.0).tolist()
    ]
    if len(angle) < LEAST_ROWS:
        got, want = f"{len(angle)} rows", f"at least {LEAST_ROWS}"
        problems.append(table.head_problem(ANGLE, got, want))
    return problems
