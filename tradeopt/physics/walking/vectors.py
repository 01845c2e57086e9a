"""Products and turns of vectors whose components stand before the phase axis."""

import numpy as np

from tradeopt.arrays import Array, as_array


def cross(first: Array, second: Array) -> Array:
    """Vector product along the last axis but one.

    Parameters
    ----------
    first : Array, shape (..., 3, phase)
        Left factor [any unit].
    second : Array, shape (..., 3, phase)
        Right factor [any unit].

    Returns
    -------
    Array, shape (..., 3, phase)
        The product [unit of first times unit of second].

    Notes
    -----
    Leading axes broadcast. Written out because a leg needs it some twenty times a stride, and the
    general function of numpy takes several times as long on arrays as small as these.

    Examples
    --------
    >>> import numpy as np
    >>> cross(np.array([[1.0], [0.0], [0.0]]), np.array([[0.0], [1.0], [0.0]]))[:, 0].tolist()
    [0.0, 0.0, 1.0]
    """
    product = np.empty(np.broadcast_shapes(first.shape, second.shape))
    for row in range(3):
        one, two = (row + 1) % 3, (row + 2) % 3
        component = product[..., row, :]
        np.multiply(first[..., one, :], second[..., two, :], out=component)
        component -= first[..., two, :] * second[..., one, :]
    return product


def skew(vector: Array) -> Array:
    """Matrix that carries out the vector product with a vector.

    Parameters
    ----------
    vector : Array, shape (phase, 3)
        Left factor of the product [any unit].

    Returns
    -------
    Array, shape (phase, 3, 3)
        Matrix S with ``S @ b`` equal to the vector product of ``vector`` and b [unit of vector].

    Notes
    -----
    Here phase stands first, as the linear algebra of numpy wants it.

    Examples
    --------
    >>> import numpy as np
    >>> (skew(np.array([[1.0, 0.0, 0.0]]))[0] @ np.array([0.0, 1.0, 0.0])).tolist()
    [0.0, 0.0, 1.0]
    """
    matrix = np.zeros((*vector.shape, 3))
    for row, column, component in ((2, 1, 0), (0, 2, 1), (1, 0, 2)):
        matrix[:, row, column] = vector[:, component]
        matrix[:, column, row] = -vector[:, component]
    return matrix


def pitch_rotation(pitch: Array) -> Array:
    """Rotation about the y axis.

    Parameters
    ----------
    pitch : Array, shape (phase,)
        Angle; positive tips z towards x [rad].

    Returns
    -------
    Array, shape (3, 3, phase)
        Rotation matrix; its second axis numbers the axes of the turned body [1].

    Notes
    -----
    Columns ``(cos, 0, -sin)``, ``(0, 1, 0)``, ``(sin, 0, cos)``.

    Examples
    --------
    >>> import numpy as np
    >>> pitch_rotation(np.array([np.pi / 2]))[:, 2, 0].round(4).tolist()
    [1.0, 0.0, 0.0]
    """
    rotation = np.zeros((3, 3, *pitch.shape))
    rotation[0, 0] = rotation[2, 2] = np.cos(pitch)
    rotation[0, 2] = np.sin(pitch)
    rotation[2, 0] = -rotation[0, 2]
    rotation[1, 1] = 1.0
    return rotation


def yaw_rotation(yaw: Array) -> Array:
    """Rotation about the z axis.

    Parameters
    ----------
    yaw : Array, shape (phase,)
        Angle; positive turns x towards y [rad].

    Returns
    -------
    Array, shape (3, 3, phase)
        Rotation matrix; its second axis numbers the axes of the turned body [1].

    Notes
    -----
    Columns ``(cos, sin, 0)``, ``(-sin, cos, 0)``, ``(0, 0, 1)``.

    Examples
    --------
    >>> import numpy as np
    >>> yaw_rotation(np.array([np.pi / 2]))[:, 0, 0].round(4).tolist()
    [0.0, 1.0, 0.0]
    """
    rotation = np.zeros((3, 3, *yaw.shape))
    rotation[0, 0] = rotation[1, 1] = np.cos(yaw)
    rotation[1, 0] = np.sin(yaw)
    rotation[0, 1] = -rotation[1, 0]
    rotation[2, 2] = 1.0
    return rotation


def mirrored(vector: Array, *, axial: bool = False) -> Array:
    """Carry a vector of the left leg over to the right leg, half a stride later.

    Parameters
    ----------
    vector : Array, shape (..., 3, phase)
        Vector that belongs to the left leg [any unit].
    axial : bool
        True for moments and rates of turn, which keep their y component in a mirror [-].

    Returns
    -------
    Array, shape (..., 3, phase)
        Vector that belongs to the right leg [unit of vector].

    Notes
    -----
    The mirror is the plane y = 0. The number of phases must be even.

    Examples
    --------
    >>> import numpy as np
    >>> mirrored(np.array([[1.0, 2.0], [3.0, 4.0], [5.0, 6.0]])).tolist()
    [[2.0, 1.0], [-4.0, -3.0], [6.0, 5.0]]
    """
    signs = np.array([-1.0, 1.0, -1.0] if axial else [1.0, -1.0, 1.0])
    return as_array(np.roll(vector, vector.shape[-1] // 2, axis=-1) * signs[:, np.newaxis])
