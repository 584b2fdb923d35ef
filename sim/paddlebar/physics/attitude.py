"""Attitude by unit quaternion: no singular attitude, so a tumbling flight is integrated like any other."""

from __future__ import annotations

from paddlebar.physics.compiled import jitted, source_of

_HOLD_NORM = 5.0  # [1/s] pull of the quaternion's length back to one; does not touch the attitude that it stands for


@jitted
def rotation(q):
    """The earth's axes north, east and down in body axes: rows of the matrix that turns body into earth, of a quaternion of any length.

    q       : quaternion, scalar first [1]
    Returns : three unit vectors; a vector's components to north, east and down are its products with them [1]
    Source  : rigid-body kinematics, any textbook; common practice, no source
    Checked : tests/physics/test_attitude.py (orthogonality, quarter turns)
    """
    w, x, y, z = q
    s = 2.0 / (w * w + x * x + y * y + z * z)
    return (
        (1.0 - s * (y * y + z * z), s * (x * y - w * z), s * (x * z + w * y)),
        (s * (x * y + w * z), 1.0 - s * (x * x + z * z), s * (y * z - w * x)),
        (s * (x * z - w * y), s * (y * z + w * x), 1.0 - s * (x * x + y * y)),
    )


@jitted
def quaternion_rate(q, rate):
    """Rate of the body-to-earth quaternion, dq/dt = q (0, omega) / 2, with its length held at one.

    q       : quaternion, scalar first [1];  rate : angular rate in body axes [rad/s]
    Returns : rates of its four entries [1/s]
    Source  : rigid-body kinematics, any textbook; common practice, no source
    Checked : tests/physics/test_attitude.py (constant rate about each axis)
    """
    w, x, y, z = q
    p, q_, r = rate
    k = _HOLD_NORM * (1.0 - (w * w + x * x + y * y + z * z))
    return (
        0.5 * (-x * p - y * q_ - z * r) + k * w,
        0.5 * (w * p + y * r - z * q_) + k * x,
        0.5 * (w * q_ + z * p - x * r) + k * y,
        0.5 * (w * r + x * q_ - y * p) + k * z,
    )


# for who calls them seldom or with columns of many samples; also where numba is switched off
plain_rotation = source_of(rotation)
plain_rate = source_of(quaternion_rate)
