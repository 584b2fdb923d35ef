"""The craft as a tree of rigid bodies: mass matrix and bias, and their solution.

Unknowns, in this order: acceleration of the datum (3) and of the body rate (3) in body axes, shaft, bar, tail, then the flapping
coordinates. Each body adds itself; nothing is small, nothing is averaged.

Source : Kane's equations in the form of R. Featherstone, Rigid Body Dynamics Algorithms (2008) ch. 2, from memory.
"""

from __future__ import annotations

import math

from numba import njit

from paddlebar.physics.vectors import cross, symmetric_times

BASE = 0
SHAFT = 6
BAR = 7
TAIL = 8
FLAP = 9

# rows of the work array, shape (WORK_ROWS, WORK_COLUMNS)
MASS = 0  # MASS ... MASS+14: mass matrix, lower and upper
BIAS = 15  # generalised force that the motion asks for, less what is applied
SOLUTION = 16
SCREWS = 17  # 17, 18, 19: motion screws of the body at hand
TOTAL = 20  # mass, first moment (3), inertia about the datum (6) of all bodies so far
DIAGNOSTIC = 21
FACTOR = 22  # FACTOR ... FACTOR+14: Cholesky factor of the free part
WORK_ROWS = 37
WORK_COLUMNS = 24


@njit(cache=True, error_model="numpy")
def clear(work, n):
    """Set the first n rows of mass matrix [kg, kg m, kg m^2], the bias [N, N m] and the totals to zero."""
    for i in range(n):
        for j in range(n):
            work[MASS + i, j] = 0.0
        work[BIAS, i] = 0.0
    for i in range(10):
        work[TOTAL, i] = 0.0


@njit(cache=True, error_model="numpy")
def set_screw(work, row, sx, sy, sz, px, py, pz):
    """Motion screw of a joint: unit rate about an axis s [1] through p [m]; the datum's place on it moves at p x s [m]."""
    work[SCREWS + row, 0] = sx
    work[SCREWS + row, 1] = sy
    work[SCREWS + row, 2] = sz
    vx, vy, vz = cross(px, py, pz, sx, sy, sz)
    work[SCREWS + row, 3] = vx
    work[SCREWS + row, 4] = vy
    work[SCREWS + row, 5] = vz


@njit(cache=True, error_model="numpy")
def add_body(
    work,
    joints,
    k0,
    k1,
    k2,
    m,
    cx,
    cy,
    cz,
    jxx,
    jyy,
    jzz,
    jxy,
    jxz,
    jyz,
    wx,
    wy,
    wz,
    ax,
    ay,
    az,
    bx,
    by,
    bz,
    fx,
    fy,
    fz,
    mx,
    my,
    mz,
):
    """Add one rigid body to the equations of motion (body axes, about the datum).

    For each joint j that carries it, with screw (s, v): momentum of unit rate P = m (v + s x c), L = c x P + J s;
    mass matrix H_ij = v_i P_j + s_i L_j; bias C_j = v_j F + s_j N, F = m a - f, N = c x m a + J b + w x J w - M.

    work       : rows as above; screws already set
    joints     : how many joints carry it (0 to 3);  k0, k1, k2 : their unknowns. Pass them as np.int64: for a bare number numba
                 compiles the function anew, which costs two seconds of the first flight and gains nothing
    m          : mass [kg];  c : its centre from the datum [m];  j : inertia about its centre [kg m^2], matrix entries
    w          : its angular rate [rad/s]
    a          : acceleration of its centre when all unknowns are zero, less gravity [m/s^2]
    b          : its angular acceleration when all unknowns are zero [rad/s^2]
    f, m_      : applied force [N] and moment about the datum [N m]
    Source     : Kane's equations in the form of R. Featherstone, Rigid Body Dynamics Algorithms (2008) ch. 2, from memory
    Checked    : tests/reference/test_multibody_sympy.py, test_multibody_mujoco.py
    """
    sx = m * cx
    sy = m * cy
    sz = m * cz
    work[TOTAL, 0] += m
    work[TOTAL, 1] += sx
    work[TOTAL, 2] += sy
    work[TOTAL, 3] += sz
    work[TOTAL, 4] += jxx + sy * cy + sz * cz
    work[TOTAL, 5] += jyy + sx * cx + sz * cz
    work[TOTAL, 6] += jzz + sx * cx + sy * cy
    work[TOTAL, 7] += jxy - sx * cy
    work[TOTAL, 8] += jxz - sx * cz
    work[TOTAL, 9] += jyz - sy * cz
    px = m * ax
    py = m * ay
    pz = m * az
    hx, hy, hz = symmetric_times(jxx, jyy, jzz, jxy, jxz, jyz, wx, wy, wz)
    gx, gy, gz = symmetric_times(jxx, jyy, jzz, jxy, jxz, jyz, bx, by, bz)
    nx, ny, nz = cross(cx, cy, cz, px, py, pz)
    ox, oy, oz = cross(wx, wy, wz, hx, hy, hz)
    px -= fx
    py -= fy
    pz -= fz
    nx += gx + ox - mx
    ny += gy + oy - my
    nz += gz + oz - mz
    work[BIAS, 0] += px
    work[BIAS, 1] += py
    work[BIAS, 2] += pz
    work[BIAS, 3] += nx
    work[BIAS, 4] += ny
    work[BIAS, 5] += nz
    for j in range(joints):
        k = k0 if j == 0 else (k1 if j == 1 else k2)
        ex = work[SCREWS + j, 0]
        ey = work[SCREWS + j, 1]
        ez = work[SCREWS + j, 2]
        vx = work[SCREWS + j, 3]
        vy = work[SCREWS + j, 4]
        vz = work[SCREWS + j, 5]
        qx, qy, qz = cross(ex, ey, ez, cx, cy, cz)
        qx = m * (qx + vx)
        qy = m * (qy + vy)
        qz = m * (qz + vz)
        lx, ly, lz = cross(cx, cy, cz, qx, qy, qz)
        rx, ry, rz = symmetric_times(jxx, jyy, jzz, jxy, jxz, jyz, ex, ey, ez)
        lx += rx
        ly += ry
        lz += rz
        work[MASS + k, 0] += qx
        work[MASS + k, 1] += qy
        work[MASS + k, 2] += qz
        work[MASS + k, 3] += lx
        work[MASS + k, 4] += ly
        work[MASS + k, 5] += lz
        work[BIAS, k] += vx * px + vy * py + vz * pz + ex * nx + ey * ny + ez * nz
        for i in range(j + 1):
            n = k0 if i == 0 else (k1 if i == 1 else k2)
            value = (
                work[SCREWS + i, 3] * qx
                + work[SCREWS + i, 4] * qy
                + work[SCREWS + i, 5] * qz
                + work[SCREWS + i, 0] * lx
                + work[SCREWS + i, 1] * ly
                + work[SCREWS + i, 2] * lz
            )
            if n <= k:
                work[MASS + k, n] += value
            else:
                work[MASS + n, k] += value


@njit(cache=True, error_model="numpy")
def close_base(work):
    """Write the totals into the base block of the mass matrix, lower triangle [kg, kg m, kg m^2]."""
    m = work[TOTAL, 0]
    sx = work[TOTAL, 1]
    sy = work[TOTAL, 2]
    sz = work[TOTAL, 3]
    work[0, 0] = m
    work[1, 1] = m
    work[2, 2] = m
    work[3, 1] = -sz
    work[3, 2] = sy
    work[4, 0] = sz
    work[4, 2] = -sx
    work[5, 0] = -sy
    work[5, 1] = sx
    work[3, 3] = work[TOTAL, 4]
    work[4, 4] = work[TOTAL, 5]
    work[5, 5] = work[TOTAL, 6]
    work[4, 3] = work[TOTAL, 7]
    work[5, 3] = work[TOTAL, 8]
    work[5, 4] = work[TOTAL, 9]


@njit(cache=True, error_model="numpy")
def solve(work, n, base_locked, locked):
    """Solve H x = -C for the free coordinates [m/s^2, rad/s^2]; the others stay zero. Cholesky on the packed free part.

    work        : rows as above; SOLUTION holds x afterwards
    n           : number of unknowns;  base_locked : 1 if the first six are held;  locked : (n,) 1 for each one that is held
    Source      : Cholesky factorisation, any numerical textbook
    Checked     : tests/physics/test_bodies.py against numpy.linalg.solve
    """
    count = 0
    for i in range(n):
        work[SOLUTION, i] = 0.0
        if locked[i] == 0 and not (base_locked == 1 and i < 6):
            work[SCREWS, count] = i  # the screws are no longer needed: their row keeps the list of free unknowns
            count += 1
    for a in range(count):
        i = int(work[SCREWS, a])
        for b in range(a + 1):
            value = work[MASS + i, int(work[SCREWS, b])]
            for c in range(b):
                value -= work[FACTOR + a, c] * work[FACTOR + b, c]
            if a == b:
                work[FACTOR + a, a] = math.sqrt(value)
                work[SCREWS + 1, a] = 1.0 / work[FACTOR + a, a]
            else:
                work[FACTOR + a, b] = value * work[SCREWS + 1, b]
        value = -work[BIAS, i]
        for c in range(a):
            value -= work[FACTOR + a, c] * work[SCREWS + 2, c]
        work[SCREWS + 2, a] = value * work[SCREWS + 1, a]
    for a in range(count - 1, -1, -1):
        value = work[SCREWS + 2, a]
        for c in range(a + 1, count):
            value -= work[FACTOR + c, a] * work[SCREWS + 2, c]
        value *= work[SCREWS + 1, a]
        work[SCREWS + 2, a] = value
        work[SOLUTION, int(work[SCREWS, a])] = value


@njit(cache=True, error_model="numpy")
def turn_inertia(j, ax, ay, az, bx, by, bz, cx, cy, cz):
    """Inertia given along three unit vectors a, b, c as entries in the frame of those vectors, J = sum_kl j_kl e_k e_l.

    j       : (3, 3) along a, b, c [kg m^2];  a, b, c : unit vectors [1]; the triad may be left-handed
    Returns : xx, yy, zz, xy, xz, yz [kg m^2]
    Source  : tensor transformation; common practice, no source
    Checked : tests/physics/test_bodies.py
    """
    ux = j[0, 0] * ax + j[0, 1] * bx + j[0, 2] * cx
    uy = j[0, 0] * ay + j[0, 1] * by + j[0, 2] * cy
    uz = j[0, 0] * az + j[0, 1] * bz + j[0, 2] * cz
    vx = j[1, 0] * ax + j[1, 1] * bx + j[1, 2] * cx
    vy = j[1, 0] * ay + j[1, 1] * by + j[1, 2] * cy
    vz = j[1, 0] * az + j[1, 1] * bz + j[1, 2] * cz
    wx = j[2, 0] * ax + j[2, 1] * bx + j[2, 2] * cx
    wy = j[2, 0] * ay + j[2, 1] * by + j[2, 2] * cy
    wz = j[2, 0] * az + j[2, 1] * bz + j[2, 2] * cz
    return (
        ax * ux + bx * vx + cx * wx,
        ay * uy + by * vy + cy * wy,
        az * uz + bz * vz + cz * wz,
        ax * uy + bx * vy + cx * wy,
        ax * uz + bx * vz + cx * wz,
        ay * uz + by * vz + cy * wz,
    )


@njit(cache=True, error_model="numpy")
def axial_inertia(polar, diametral, ax, ay, az):
    """Inertia of a body of revolution with axis a: diametral 1 + (polar - diametral) a a [kg m^2], as xx, yy, zz, xy, xz, yz."""
    k = polar - diametral
    return (
        diametral + k * ax * ax,
        diametral + k * ay * ay,
        diametral + k * az * az,
        k * ax * ay,
        k * ax * az,
        k * ay * az,
    )


@njit(cache=True, error_model="numpy")
def kinetic_energy(work, n, u):
    """Kinetic energy u H u / 2 of generalised velocities u (datum velocity and body rate in body axes, then the joints) [J]."""
    total = 0.0
    for i in range(n):
        total += 0.5 * work[MASS + i, i] * u[i] * u[i]
        for j in range(i):
            total += work[MASS + i, j] * u[i] * u[j]
    return total
