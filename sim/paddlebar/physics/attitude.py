"""Attitude by unit quaternion: no singular attitude, so a tumbling flight is integrated like any other."""

from __future__ import annotations

from numba import njit

_HOLD_NORM = 5.0  # [1/s] pull of the quaternion's length back to one; does not touch the attitude that it stands for


@njit(cache=True, error_model="numpy")
def rotation(w, x, y, z):
    """Rotation matrix, body to earth, of a quaternion of any length.

    w, x, y, z : quaternion, scalar first [1]
    Returns    : nine entries row by row; v_earth = R v_body [1]
    Source     : rigid-body kinematics, any textbook; common practice, no source
    Checked    : tests/physics/test_attitude.py (orthogonality, quarter turns)
    """
    s = 2.0 / (w * w + x * x + y * y + z * z)
    return (
        1.0 - s * (y * y + z * z),
        s * (x * y - w * z),
        s * (x * z + w * y),
        s * (x * y + w * z),
        1.0 - s * (x * x + z * z),
        s * (y * z - w * x),
        s * (x * z - w * y),
        s * (y * z + w * x),
        1.0 - s * (x * x + y * y),
    )


plain_rotation = getattr(rotation, "py_func", rotation)  # for who calls it seldom; also where numba is switched off


@njit(cache=True, error_model="numpy")
def quaternion_rate(w, x, y, z, p, q, r):
    """Rate of the body-to-earth quaternion, dq/dt = q (0, omega) / 2, with its length held at one.

    p, q, r : angular rate in body axes [rad/s]
    Returns : rates of w, x, y, z [1/s]
    Source  : rigid-body kinematics, any textbook; common practice, no source
    Checked : tests/physics/test_attitude.py (constant rate about each axis)
    """
    k = _HOLD_NORM * (1.0 - (w * w + x * x + y * y + z * z))
    return (
        0.5 * (-x * p - y * q - z * r) + k * w,
        0.5 * (w * p + y * r - z * q) + k * x,
        0.5 * (w * q + z * p - x * r) + k * y,
        0.5 * (w * r + x * q - y * p) + k * z,
    )
