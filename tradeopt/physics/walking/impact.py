"""What a touchdown may cost; an estimate beside the model, whose feet land without speed."""

import numpy as np

from tradeopt.arrays import Array, as_array


def collision_loss(mass: Array, speed: Array, step_length: Array, leg_length: Array) -> Array:
    """Energy that a walker on stiff legs loses at each touchdown.

    Parameters
    ----------
    mass : Array, shape (...)
        Of the whole walker, taken to be a point at the hips [kg].
    speed : Array, shape (...)
        Speed of that point just before the touchdown [m/s].
    step_length : Array, shape (...)
        Between two footprints [m].
    leg_length : Array, shape (...)
        Hip to sole [m].

    Returns
    -------
    Array, shape (...)
        Energy [J].

    Notes
    -----
    ``1/2 m v^2 sin^2(2 a)``, 2 a being the angle between the legs. The speed turns by that angle
    at once, and what pointed along the new leg is lost: the rimless wheel. Legs that give way,
    and a push-off before the touchdown, lose less; a pelvis at constant height loses nothing.

    References
    ----------
    T. McGeer, "Passive dynamic walking", Int. J. Robotics Research 9(2):62-82, 1990.

    Examples
    --------
    >>> import numpy as np
    >>> step = 2 * 0.9 * np.sin(np.radians(15))  # legs 30 degrees apart
    >>> collision_loss(np.array(70.0), np.array(1.25), step, np.array(0.9)).round(4)
    np.float64(13.6719)
    """
    half = np.arcsin(np.clip(step_length / (2 * leg_length), -1.0, 1.0))
    return as_array(0.5 * mass * (speed * np.sin(2 * half)) ** 2)
