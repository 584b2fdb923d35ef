"""The craft as a tree of rigid bodies: mass matrix and bias, and their solution.

Unknowns, in this order: acceleration of the datum (3) and of the body rate (3) in body axes, shaft, bar, tail, then the flapping
coordinates. Each body adds itself; nothing is small, nothing is averaged.

Source : Kane's equations in the form of R. Featherstone, Rigid Body Dynamics Algorithms (2008) ch. 2, from memory.
"""

from __future__ import annotations

import math

import numpy as np

from paddlebar.physics.compiled import inner, jitted
from paddlebar.physics.vectors import X, Y, Z, add, cross, dot, out_of, row, scale, sub, times

# Unknowns. Numbers of numpy's: for a bare one numba compiles whatever function takes it anew.
BASE, BASE_RATE, SHAFT, BAR, TAIL, FLAP = np.array([0, 3, 6, 7, 8, 9])

# rows of the work array, shape (WORK_ROWS, WORK_COLUMNS)
MASS = 0  # MASS ... MASS+14: mass matrix, lower and upper
BIAS = 15  # generalised force that the motion asks for, less what is applied
SOLUTION = 16
SCREWS = 17  # 17, 18, 19: joints of the body at hand, see the columns below
TOTAL = 20  # mass, first moment (3), inertia about the datum (6) of all bodies so far
DIAGNOSTIC = 21
FACTOR = 22  # FACTOR ... FACTOR+14: Cholesky factor of the free part
FREE, PIVOT, RIGHT = 37, 38, 39  # for the solution: numbers of the free unknowns, pivots, right-hand side
SETTING = 40  # what actuators are set to, see the columns below
WORK_ROWS = 41
WORK_COLUMNS = 24

# columns of the screws: axis (3), velocity of the datum's place (3), number of the unknown; in the first row, how many joints there are
AXIS, VELOCITY, UNKNOWN, JOINTS = np.array([0, 3, 6, 7])
# columns of the settings: pitch of all blades, pitch over the tail and on the right (less on the other side), tilt of arm 1 that the linkage
# passes on besides the bar's own, pitch of the tail rotor's blades [rad]
COLLECTIVE, CYCLIC_AFT, CYCLIC_RIGHT, BAR_TILT, TAIL_PITCH = range(5)
SETTINGS = 5
# columns of the totals
TOTAL_MASS, TOTAL_MOMENT, TOTAL_INERTIA, TOTAL_PRODUCTS, TOTAL_COLUMNS = np.array([0, 1, 4, 7, 10])


@inner
def take(work, row_, column):
    """Three entries of a row as a vector [unit of the row]."""
    return work[row_, column], work[row_, column + 1], work[row_, column + 2]


@inner
def store(work, row_, column, v):
    """Write a vector into a row [unit of v]."""
    work[row_, column], work[row_, column + 1], work[row_, column + 2] = v


@inner
def gain(work, row_, column, v):
    """Add a vector to three entries of a row [unit of v]."""
    x, y, z = v
    work[row_, column] += x
    work[row_, column + 1] += y
    work[row_, column + 2] += z


@jitted
def clear(work, n):
    """Set the first n rows of mass matrix [kg, kg m, kg m^2], the bias [N, N m], totals and number of joints to zero."""
    for i in range(n):
        for j in range(n):
            work[MASS + i, j] = 0.0
        work[BIAS, i] = 0.0
    for i in range(TOTAL_COLUMNS):
        work[TOTAL, i] = 0.0
    work[SCREWS, JOINTS] = 0.0


@jitted
def add_joint(work, unknown, axis, place):
    """One more joint that carries the body which is added next: unit rate about an axis through a place.

    unknown : its number
    axis    : in the sense of the unknown [1];  place : any point of the axis, from the datum [m]
    """
    j = SCREWS + int(work[SCREWS, JOINTS])
    work[SCREWS, JOINTS] += 1.0
    store(work, j, AXIS, axis)
    store(work, j, VELOCITY, cross(place, axis))
    work[j, UNKNOWN] = unknown


@jitted
def add_body(work, body, motion, load):
    """Add one rigid body to the equations of motion (body axes, about the datum), on the joints added since the last one.

    For each joint j that carries it, with screw (s, v): momentum of unit rate P = m (v + s x c), L = c x P + J s;
    mass matrix H_ij = v_i P_j + s_i L_j; bias C_j = v_j F + s_j N, F = m a - f, N = c x m a + J b + w x J w - M.

    work    : rows as above
    body    : mass [kg], its centre from the datum [m], inertia about its centre [kg m^2]
    motion  : its angular rate [rad/s]; with all unknowns zero the acceleration of its centre less gravity [m/s^2], and its angular
              acceleration [rad/s^2]
    load    : applied force [N], and moment about the datum [N m]
    Source  : Kane's equations in the form of R. Featherstone, Rigid Body Dynamics Algorithms (2008) ch. 2, from memory
    Checked : tests/reference/test_multibody_sympy.py, test_multibody_mujoco.py
    """
    mass, c, inertia = body
    w, a, b = motion
    force, moment = load
    add_total(work, mass, c, inertia)
    push = scale(mass, a)
    turn = add(cross(c, push), add(times(inertia, b), cross(w, times(inertia, w))))
    push = sub(push, force)
    turn = sub(turn, moment)
    gain(work, BIAS, BASE, push)
    gain(work, BIAS, BASE_RATE, turn)
    for j in range(int(work[SCREWS, JOINTS])):
        k = int(work[SCREWS + j, UNKNOWN])
        s = take(work, SCREWS + j, AXIS)
        v = take(work, SCREWS + j, VELOCITY)
        p = scale(mass, add(cross(s, c), v))
        angular = add(cross(c, p), times(inertia, s))
        gain(work, MASS + k, BASE, p)
        gain(work, MASS + k, BASE_RATE, angular)
        work[BIAS, k] += dot(v, push) + dot(s, turn)
        for i in range(j + 1):
            n = int(work[SCREWS + i, UNKNOWN])
            both = dot(take(work, SCREWS + i, VELOCITY), p) + dot(take(work, SCREWS + i, AXIS), angular)
            work[MASS + max(k, n), min(k, n)] += both
    work[SCREWS, JOINTS] = 0.0


@inner
def add_total(work, mass, c, inertia):
    """Add a body to the totals: mass [kg], centre from the datum [m], inertia about its centre [kg m^2]."""
    x, y, z = c
    sx, sy, sz = scale(mass, c)
    xx, yy, zz, xy, xz, yz = inertia
    work[TOTAL, TOTAL_MASS] += mass
    gain(work, TOTAL, TOTAL_MOMENT, (sx, sy, sz))
    gain(work, TOTAL, TOTAL_INERTIA, (xx + sy * y + sz * z, yy + sx * x + sz * z, zz + sx * x + sy * y))
    gain(work, TOTAL, TOTAL_PRODUCTS, (xy - sx * y, xz - sx * z, yz - sy * z))


@jitted
def close_base(work):
    """Write the totals into the base block of the mass matrix, lower triangle [kg, kg m, kg m^2]."""
    sx, sy, sz = take(work, TOTAL, TOTAL_MOMENT)
    xx, yy, zz = take(work, TOTAL, TOTAL_INERTIA)
    xy, xz, yz = take(work, TOTAL, TOTAL_PRODUCTS)
    for i in range(BASE, BASE_RATE):
        work[MASS + i, i] = work[TOTAL, TOTAL_MASS]
    first = MASS + BASE_RATE
    store(work, first, BASE, (0.0, -sz, sy))
    store(work, first + 1, BASE, (sz, 0.0, -sx))
    store(work, first + 2, BASE, (-sy, sx, 0.0))
    store(work, first, BASE_RATE, (xx, xy, xz))
    store(work, first + 1, BASE_RATE, (xy, yy, yz))
    store(work, first + 2, BASE_RATE, (xz, yz, zz))


@inner
def centre(work):
    """Centre of mass of all bodies added so far, from the datum [m]."""
    return scale(1.0 / work[TOTAL, TOTAL_MASS], take(work, TOTAL, TOTAL_MOMENT))


@jitted
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
        if locked[i] == 0 and not (base_locked == 1 and i < SHAFT):
            work[FREE, count] = i
            count += 1
    for a in range(count):
        i = int(work[FREE, a])
        for b in range(a + 1):
            value = work[MASS + i, int(work[FREE, b])]
            for c in range(b):
                value -= work[FACTOR + a, c] * work[FACTOR + b, c]
            if a == b:
                work[FACTOR + a, a] = math.sqrt(value)
                work[PIVOT, a] = 1.0 / work[FACTOR + a, a]
            else:
                work[FACTOR + a, b] = value * work[PIVOT, b]
        value = -work[BIAS, i]
        for c in range(a):
            value -= work[FACTOR + a, c] * work[RIGHT, c]
        work[RIGHT, a] = value * work[PIVOT, a]
    for a in range(count - 1, -1, -1):
        value = work[RIGHT, a]
        for c in range(a + 1, count):
            value -= work[FACTOR + c, a] * work[RIGHT, c]
        value *= work[PIVOT, a]
        work[RIGHT, a] = value
        work[SOLUTION, int(work[FREE, a])] = value


@jitted
def turn_inertia(inertia, axes):
    """Inertia given along three unit vectors as a tensor in the frame of those vectors, J = sum_kl j_kl e_k e_l.

    inertia : (3, 3) along the axes [kg m^2];  axes : unit vectors [1]; the triad may be left-handed
    Returns : xx, yy, zz, xy, xz, yz [kg m^2]
    Source  : tensor transformation; common practice, no source
    Checked : tests/physics/test_bodies.py
    """
    images = (out_of(row(inertia, X), axes), out_of(row(inertia, Y), axes), out_of(row(inertia, Z), axes))
    (ax, ay, az), (bx, by, bz), (cx, cy, cz) = axes
    xx, xy, xz = out_of((ax, bx, cx), images)
    _, yy, yz = out_of((ay, by, cy), images)
    _, _, zz = out_of((az, bz, cz), images)
    return xx, yy, zz, xy, xz, yz


@jitted
def axial_inertia(polar, diametral, axis):
    """Inertia of a body of revolution about an axis: diametral 1 + (polar - diametral) a a [kg m^2], as xx, yy, zz, xy, xz, yz."""
    x, y, z = axis
    k = polar - diametral
    return diametral + k * x * x, diametral + k * y * y, diametral + k * z * z, k * x * y, k * x * z, k * y * z


@inner
def multiple(k, tensor):
    """A number times a symmetric tensor [unit of k times unit of the tensor]."""
    xx, yy, zz, xy, xz, yz = tensor
    return k * xx, k * yy, k * zz, k * xy, k * xz, k * yz


@inner
def central_inertia(inertia, mass, c):
    """Inertia about the centre of mass from that about the datum, J = I - m (c c 1 - c c^T).

    inertia : (3, 3) about the datum [kg m^2];  mass [kg];  c : centre of mass from the datum [m]
    Returns : xx, yy, zz, xy, xz, yz [kg m^2]
    Source  : parallel axes (Steiner), any dynamics textbook
    Checked : tests/reference/test_multibody_sympy.py
    """
    x, y, z = c
    return (
        inertia[X, X] - mass * (y * y + z * z),
        inertia[Y, Y] - mass * (x * x + z * z),
        inertia[Z, Z] - mass * (x * x + y * y),
        inertia[X, Y] + mass * x * y,
        inertia[X, Z] + mass * x * z,
        inertia[Y, Z] + mass * y * z,
    )


@jitted
def kinetic_energy(work, n, u):
    """Kinetic energy u H u / 2 of generalised velocities u (datum velocity and body rate in body axes, then the joints) [J]."""
    total = 0.0
    for i in range(n):
        total += 0.5 * work[MASS + i, i] * u[i] * u[i]
        for j in range(i):
            total += work[MASS + i, j] * u[i] * u[j]
    return total
