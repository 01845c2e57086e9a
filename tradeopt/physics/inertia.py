"""Inertial parameters of bodies: building them, adding them up, reading them back.

Ten numbers in the order m, m*cx, m*cy, m*cz, Ixx, Ixy, Iyy, Ixz, Iyz, Izz describe a rigid body.
The moments are taken about the origin of the frame, not about the centre of mass, so the
parameters of several bodies in one frame simply add.
"""

from typing import Final

import numpy as np

from tradeopt.arrays import Array, as_array

_ROWS: Final = np.array([0, 0, 1, 0, 1, 2])
_COLUMNS: Final = np.array([0, 1, 1, 2, 2, 2])
_SOLID_BOX: Final = 12.0
"""Divisor of a uniform rod, plate or box, from the integral of s^2 over its side."""
_ROUND_TUBE: Final = 8.0
"""Divisor of a uniform ring, disc or tube by its diameters, from the integral of r^2."""


def box_inertia(mass: Array, x: Array, y: Array, z: Array) -> Array:
    """Moments of inertia of a uniform solid box about its own centre.

    Parameters
    ----------
    mass : Array, shape (...)
        Mass [kg].
    x, y, z : Array, shape (...)
        Side lengths along the axes [m]; zero makes a plate, a rod or a point.

    Returns
    -------
    Array, shape (..., 3, 3)
        Inertia matrix, diagonal [kg*m^2].

    Notes
    -----
    Ixx = m (y^2 + z^2)/12, and so on round the axes.

    References
    ----------
    Beer, Johnston, "Vector Mechanics for Engineers: Dynamics", appendix on mass moments of inertia
    (from memory).

    Examples
    --------
    >>> box_inertia(12.0, 1.0, 2.0, 3.0).diagonal()
    array([13., 10.,  5.])
    """
    squares = np.stack(np.broadcast_arrays(*(np.square(side) for side in (x, y, z))), axis=-1)
    others = squares.sum(axis=-1, keepdims=True) - squares
    moments: Array = as_array(mass)[..., np.newaxis] * others / _SOLID_BOX
    return moments[..., np.newaxis] * np.eye(3)


def tube_inertia(
    mass: Array, outer_diameter: Array, inner_diameter: Array, length: Array
) -> Array:
    """Moments of inertia of a uniform round tube along z about its own centre.

    Parameters
    ----------
    mass : Array, shape (...)
        Mass [kg].
    outer_diameter, inner_diameter : Array, shape (...)
        Outside and inside [m]; an inside of zero makes a rod.
    length : Array, shape (...)
        Length along z [m].

    Returns
    -------
    Array, shape (..., 3, 3)
        Inertia matrix, diagonal [kg*m^2].

    Notes
    -----
    Izz = m (D^2 + d^2)/8, Ixx = Iyy = Izz/2 + m L^2/12.

    References
    ----------
    Beer, Johnston, "Vector Mechanics for Engineers: Dynamics", appendix on mass moments of inertia
    (from memory).

    Examples
    --------
    >>> tube_inertia(np.array(8.0), np.array(2.0), np.array(1.0), np.array(3.0)).diagonal()
    array([8.5, 8.5, 5. ])
    """
    about_axis = mass * (np.square(outer_diameter) + np.square(inner_diameter)) / _ROUND_TUBE
    across = about_axis / 2.0 + mass * np.square(length) / _SOLID_BOX
    moments = np.stack(np.broadcast_arrays(across, across, about_axis), axis=-1)
    return moments[..., np.newaxis] * np.eye(3)


def inertial_parameters(mass: Array, centre: Array, inertia_about_centre: Array) -> Array:
    """Inertial parameters of a body from its mass, centre of mass and inertia about that centre.

    Parameters
    ----------
    mass : Array, shape (...)
        Mass [kg].
    centre : Array, shape (..., 3)
        Centre of mass in the frame [m].
    inertia_about_centre : Array, shape (..., 3, 3)
        Symmetric inertia matrix about the centre of mass, axes along the frame [kg*m^2].

    Returns
    -------
    Array, shape (..., 10)
        m [kg], m*c [kg*m], then Ixx, Ixy, Iyy, Ixz, Iyz, Izz about the origin [kg*m^2].

    Notes
    -----
    I_origin = I_centre + m (|c|^2 E - c c^T), E being the unit matrix.

    References
    ----------
    Atkeson, An, Hollerbach, "Estimation of inertial parameters of manipulator loads and links",
    Int. J. Robotics Research 5(3):101-119 (1986), for the ten parameters (from memory).

    Examples
    --------
    >>> inertial_parameters(np.array(2.0), np.array([0.0, 0.0, 0.5]), np.zeros((3, 3)))
    array([2. , 0. , 0. , 1. , 0.5, 0. , 0.5, 0. , 0. , 0. ])
    """
    weight = as_array(mass)[..., np.newaxis]
    about_origin = inertia_about_centre + weight[..., np.newaxis] * _offset_square(
        as_array(centre)
    )
    moments = about_origin[..., _ROWS, _COLUMNS]
    first = weight * centre
    leading = np.broadcast_shapes(moments.shape[:-1], first.shape[:-1], weight.shape[:-1])
    parts = [
        np.broadcast_to(part, (*leading, part.shape[-1])) for part in (weight, first, moments)
    ]
    return np.concatenate(parts, axis=-1)


def box_parameters(mass: Array, centre: Array, sides: Array) -> Array:
    """Inertial parameters of a uniform solid box whose sides are parallel to the axes.

    Parameters
    ----------
    mass : Array, shape (...)
        Mass [kg].
    centre : Array, shape (..., 3)
        Centre of the box in the frame [m].
    sides : Array, shape (..., 3)
        Side lengths along x, y, z [m]; zeros make a point.

    Returns
    -------
    Array, shape (..., 10)
        m [kg], m*c [kg*m], then Ixx, Ixy, Iyy, Ixz, Iyz, Izz about the origin [kg*m^2].

    Notes
    -----
    `box_inertia` moved to the origin of the frame by `inertial_parameters`.

    Examples
    --------
    >>> box_parameters(np.array(12.0), np.zeros(3), np.array([1.0, 2.0, 3.0]))
    array([12.,  0.,  0.,  0., 13.,  0., 10.,  0.,  0.,  5.])
    """
    sides = as_array(sides)
    return inertial_parameters(
        mass, centre, box_inertia(mass, sides[..., 0], sides[..., 1], sides[..., 2])
    )


def moved_parameters(parameters: Array, rotation: Array, place: Array) -> Array:
    """Inertial parameters of the same bodies, seen from another frame.

    Parameters
    ----------
    parameters : Array, shape (..., 10)
        m [kg], m*c [kg*m], then Ixx, Ixy, Iyy, Ixz, Iyz, Izz about the origin [kg*m^2].
    rotation : Array, shape (..., 3, 3)
        Axes of the frame they are given in, as columns in the axes of the new frame [1].
    place : Array, shape (..., 3)
        Origin of the frame they are given in, in the new frame [m].

    Returns
    -------
    Array, shape (..., 10)
        The same in the new frame, about its origin [kg, kg*m, kg*m^2].

    Notes
    -----
    With h = R m c and the arm p: first moment h + m p, inertia
    R I R^T + 2 (h . p) E - h p^T - p h^T + m (|p|^2 E - p p^T). Linear, so it moves sums of bodies
    as well as one.

    References
    ----------
    Featherstone, "Rigid Body Dynamics Algorithms", Springer (2008), section 2.13, for the change
    of frame of a rigid-body inertia (from memory).

    Examples
    --------
    >>> rod = np.array([2.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.5, 0.0, 0.0, 0.5])
    >>> moved_parameters(rod, np.eye(3), np.array([0.0, 0.0, 1.0]))
    array([2. , 0. , 0. , 2. , 2. , 0. , 2.5, 0. , 0. , 0.5])
    """
    parameters = as_array(parameters)
    mass = parameters[..., :1]
    first = np.einsum("...ij,...j->...i", rotation, parameters[..., 1:4])
    inertia = rotation @ _matrix(parameters) @ np.swapaxes(rotation, -1, -2)
    cross = first[..., :, np.newaxis] * place[..., np.newaxis, :]
    along = np.einsum("...i,...i->...", first, place)[..., np.newaxis, np.newaxis]
    shifted = 2.0 * along * np.eye(3) - cross - np.swapaxes(cross, -1, -2)
    inertia = inertia + shifted + mass[..., np.newaxis] * _offset_square(place)
    moments = inertia[..., _ROWS, _COLUMNS]
    moved = first + mass * place
    return np.concatenate((np.broadcast_to(mass, (*moved.shape[:-1], 1)), moved, moments), axis=-1)


def centre_of_mass(parameters: Array) -> Array:
    """Centre of mass of a body, or of several whose parameters were added up.

    Parameters
    ----------
    parameters : Array, shape (..., 10)
        m [kg], m*c [kg*m], then Ixx, Ixy, Iyy, Ixz, Iyz, Izz about the origin [kg*m^2].

    Returns
    -------
    Array, shape (..., 3)
        Centre of mass in the same frame [m]; NaN where the mass is zero, since no centre exists.

    Notes
    -----
    c = (m c)/m.

    Examples
    --------
    >>> centre_of_mass(np.array([2.0, 0.0, 0.0, 1.0, 0.5, 0.0, 0.5, 0.0, 0.0, 0.0]))
    array([0. , 0. , 0.5])
    """
    parameters = as_array(parameters)
    mass = parameters[..., :1]
    missing = np.full(parameters[..., 1:4].shape, np.nan)
    centre: Array = np.divide(parameters[..., 1:4], mass, out=missing, where=mass != 0.0)
    return centre


def inertia_about_centre(parameters: Array) -> Array:
    """Inertia about the centre of mass, from inertial parameters about the origin.

    Parameters
    ----------
    parameters : Array, shape (..., 10)
        m [kg], m*c [kg*m], then Ixx, Ixy, Iyy, Ixz, Iyz, Izz about the origin [kg*m^2].

    Returns
    -------
    Array, shape (..., 3, 3)
        Symmetric inertia matrix about the centre of mass [kg*m^2]; NaN where the mass is zero.

    Notes
    -----
    I_centre = I_origin - m (|c|^2 E - c c^T). A body can exist only if tr(I_centre)/2 E - I_centre
    has no negative eigenvalue.

    References
    ----------
    Wensing, Kim, Slotine, "Linear matrix inequalities for physically consistent inertial parameter
    identification", IEEE Robotics and Automation Letters 3(1):60-67 (2018), for the condition
    (from memory).

    Examples
    --------
    >>> body = np.array([2.0, 0.0, 0.0, 1.0, 0.6, 0.0, 0.7, 0.0, 0.0, 0.2])
    >>> inertia_about_centre(body).diagonal().round(4)
    array([0.1, 0.2, 0.2])
    """
    parameters = as_array(parameters)
    mass = parameters[..., 0, np.newaxis, np.newaxis]
    return _matrix(parameters) - mass * _offset_square(centre_of_mass(parameters))


def _matrix(parameters: Array) -> Array:
    """Return the inertia about the origin as a symmetric matrix."""
    matrix = np.empty((*parameters.shape[:-1], 3, 3))
    matrix[..., _ROWS, _COLUMNS] = parameters[..., 4:]
    matrix[..., _COLUMNS, _ROWS] = parameters[..., 4:]
    return matrix


def _offset_square(offset: Array) -> Array:
    """Return |c|^2 E - c c^T: what a unit mass at the offset adds to the inertia."""
    square = np.einsum("...i,...i->...", offset, offset)[..., np.newaxis, np.newaxis]
    product: Array = square * np.eye(3) - offset[..., :, np.newaxis] * offset[..., np.newaxis, :]
    return product
