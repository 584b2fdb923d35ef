"""Three-vectors as tuples of three numbers: equations read as the physics does, and the compiler keeps them in registers.

An axis, a place, a velocity is a tuple; three axes of a body are a tuple of three such. A symmetric tensor is the tuple of its entries
xx, yy, zz, xy, xz, yz with the signs of the matrix.
"""

from __future__ import annotations

import math

from paddlebar.physics.compiled import inner

X, Y, Z = 0, 1, 2
ZERO = (0.0, 0.0, 0.0)


@inner
def vec(a):
    """Three entries of an array as a vector [unit of a]."""
    return a[0], a[1], a[2]


@inner
def row(a, k):
    """Row k of an array (n, 3) as a vector [unit of a]. A row taken as an array of its own would be counted by whoever holds it."""
    return a[k, 0], a[k, 1], a[k, 2]


@inner
def three(a, start):
    """Three entries of an array from `start` on as a vector [unit of a]."""
    return a[start], a[start + 1], a[start + 2]


@inner
def four(a, start):
    """Four entries of an array from `start` on, as of a quaternion [unit of a]."""
    return a[start], a[start + 1], a[start + 2], a[start + 3]


@inner
def put(a, start, v):
    """Write a vector into an array from `start` on [unit of v]."""
    a[start], a[start + 1], a[start + 2] = v


@inner
def put_four(a, start, q):
    """Write four numbers, as of a quaternion, into an array from `start` on [unit of q]."""
    a[start], a[start + 1], a[start + 2], a[start + 3] = q


@inner
def add(a, b):
    """Sum of two vectors in one frame [unit of a]."""
    ax, ay, az = a
    bx, by, bz = b
    return ax + bx, ay + by, az + bz


@inner
def sub(a, b):
    """Difference a - b of two vectors in one frame [unit of a]."""
    ax, ay, az = a
    bx, by, bz = b
    return ax - bx, ay - by, az - bz


@inner
def scale(k, a):
    """A number times a vector [unit of k times unit of a]."""
    x, y, z = a
    return k * x, k * y, k * z


@inner
def dot(a, b):
    """Scalar product of two vectors in one frame [unit of a times unit of b]."""
    ax, ay, az = a
    bx, by, bz = b
    return ax * bx + ay * by + az * bz


@inner
def cross(a, b):
    """Vector product a x b of two vectors in one right-handed frame [unit of a times unit of b]."""
    ax, ay, az = a
    bx, by, bz = b
    return ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx


@inner
def size(a):
    """Length of a vector [unit of a]."""
    return math.sqrt(dot(a, a))


@inner
def along(v, axes):
    """Components of a vector along three axes [unit of v]."""
    one, two, three_ = axes
    return dot(v, one), dot(v, two), dot(v, three_)


@inner
def out_of(parts, axes):
    """The vector with these components along three axes [unit of the parts]."""
    a, b, c = parts
    one, two, three_ = axes
    return add(add(scale(a, one), scale(b, two)), scale(c, three_))


@inner
def tilted(out, up, angle):
    """Two unit vectors of a plane turned in it by an angle [rad], the first towards the second, the second away from the first [1]."""
    c = math.cos(angle)
    s = math.sin(angle)
    return add(scale(c, out), scale(s, up)), sub(scale(c, up), scale(s, out))


@inner
def times(tensor, v):
    """Symmetric tensor times a vector [unit of the tensor times unit of v]."""
    xx, yy, zz, xy, xz, yz = tensor
    x, y, z = v
    return xx * x + xy * y + xz * z, xy * x + yy * y + yz * z, xz * x + yz * y + zz * z
