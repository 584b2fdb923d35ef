"""The linear routine that margins use against published derivative sets and matrices.

Source : references.md 4.2 [C], 4.3 (B. Mettler, M. B. Tischler, T. Kanade, CMU-RI-TR-00-03 (2000) [M], internally confirmed [C]),
         4.5 [T] (a palm-size coaxial helicopter: measured mass and inertias, identified bar), [C] its roots,
         5.1 [C] (worked set of D. McRuer, I. Ashkenas, D. Graham (1973) [M]), 5.2 (S. Skogestad, I. Postlethwaite (2005) [T]).
How    : growth(A) for the roots; the same through exponents(expm(A T), T), the way a return map gives them, with T short enough.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.linalg import expm

from paddlebar.stability.floquet import exponents, growth

pytestmark = [
    pytest.mark.reference,
    pytest.mark.phenomenon(
        "linear hover roots",
        source="4.2",
        conditions="published derivatives through the routine that margins use",
        why="last digit of the table",
    ),
]


def both(evidence, name, matrix, expected, tolerance, period=0.1):
    """Each root once, through either routine. The second is LAPACK's error over the period, hence the same tolerance.

    Rows: the roots of the first, one of each pair."""
    wanted = []
    for root in expected:
        wanted += [root, np.conj(root)] if np.imag(root) else [root]
    assert len(wanted) == len(matrix)
    for routine, found in (("eigenvalues", growth(matrix)), ("return map", exponents(expm(matrix * period), period))):
        left = list(found)
        for root in wanted:
            near = min(left, key=lambda each, root=root: abs(each - root))
            assert abs(near - root) <= tolerance, f"{near} against {root}"
            if routine == "eigenvalues" and np.imag(root) >= 0.0:
                evidence(
                    f"root {wanted.index(root) + 1} of {name}",
                    complex(near),
                    complex(root),
                    absolute=tolerance,
                    unit="1/s",
                )
            left.remove(near)
        assert np.all(np.diff(found.real) <= 1e-8)


G = 32.2
XU, MU, MQ = -0.0284, 0.0061, -0.61


@pytest.mark.parametrize(
    ("gain", "tau", "expected"),
    [
        (0.0, 1.0, [-0.8751, 0.1183 + 0.4587j, -1.0]),
        (1.0, 0.5, [0.0414 + 0.4065j, -1.3606 + 0.7080j]),
        (3.0, 0.5, [-0.0082 + 0.3073j, -1.3110 + 1.5613j]),
        (3.0, 3.0, [-0.0429 + 0.1380j, -0.4430 + 1.7138j]),
        (3.0, np.inf, [0.0, -0.0950, -0.2717 + 1.7006j]),
    ],
)
def test_bar_as_feedback(evidence, gain, tau, expected):
    """4.2: states u, q, theta, eta; printed to 1e-4."""
    matrix = np.array([[XU, 0, -G, 0], [MU, MQ, 0, gain], [0, 1, 0, 0], [0, -1, 0, -1 / tau]])
    both(evidence, f"u, q, theta, bar; K {gain:g}, tau {tau:g} s", matrix, expected, 1.0e-4)


def test_feedback_of_the_wrong_sign():
    """4.2: K -> -K gives a real positive root; seen for tau 3. With tau .5 it is a growing oscillation (.4524 +- .3651i), which the
    sentence in the references leaves out: the product of the roots is g Mu / tau whatever K is, so real positive roots come in pairs."""

    def first(tau):
        return growth(np.array([[XU, 0, -G, 0], [MU, MQ, 0, -3.0], [0, 1, 0, 0], [0, -1, 0, -1 / tau]]))[0]

    assert first(3.0).imag == 0.0
    assert first(3.0).real > 1.0
    assert first(0.5) == pytest.approx(0.4524 + 0.3651j, abs=1e-4)


def with_bar():
    """4.3, states u v p q phi theta a b c d w r r_fb (feet, seconds)."""
    names = ["u", "v", "p", "q", "phi", "th", "a", "b", "c", "d", "w", "r", "rfb"]
    at = {name: i for i, name in enumerate(names)}
    tf, ts = 0.046, 0.342
    rows = {
        "u": {"u": -0.0505, "th": -G, "a": -G},
        "v": {"v": -0.154, "phi": G, "b": G},
        "p": {"u": -0.144, "v": 0.143, "b": 166.0},
        "q": {"u": -0.0561, "v": -0.0585, "a": 82.6},
        "phi": {"p": 1.0},
        "th": {"q": 1.0},
        "a": {"a": -1 / tf, "q": -1.0, "b": -0.189 / tf, "c": 0.644 / tf},
        "b": {"b": -1 / tf, "p": -1.0, "a": 0.368 / tf, "d": 0.71 / tf},
        "c": {"c": -1 / ts, "q": -1.0},
        "d": {"d": -1 / ts, "p": -1.0},
        "w": {"a": -9.75, "b": -131.0, "w": -0.614, "r": 0.93},
        "r": {"v": 0.0301, "p": -3.53, "w": 0.0857, "r": -4.13, "rfb": -33.1},
        "rfb": {"r": 2.16, "rfb": -8.26},
    }
    matrix = np.zeros((13, 13))
    for row, entries in rows.items():
        for name, value in entries.items():
            matrix[at[row], at[name]] = value
    return matrix, at


@pytest.mark.phenomenon(source="4.3")
def test_published_aircraft_with_a_bar(evidence):
    """4.3: to 1e-4."""
    matrix, _ = with_bar()
    both(
        evidence,
        "the aircraft with its bar",
        matrix,
        [
            0.3061 + 0.0939j,
            -0.4007 + 0.0862j,
            -0.6078,
            -1.6977 + 8.1887j,
            -6.1981 + 8.1967j,
            -2.6605 + 11.5571j,
            -20.3125 + 4.7429j,
        ],
        1.0e-4,
    )


@pytest.mark.phenomenon(source="4.3")
def test_published_aircraft_without_its_bar(evidence):
    """4.3: rows and columns c, d deleted; to 1e-4. The bar lowers the growth from .75 to .31 1/s and does not make it stable."""
    matrix, at = with_bar()
    keep = [i for name, i in at.items() if name not in ("c", "d")]
    both(
        evidence,
        "the aircraft without its bar",
        matrix[np.ix_(keep, keep)],
        [0.7505 + 0.2135j, -1.0192 + 0.2488j, -0.6078, -6.2942 + 1.0583j, -15.2784 + 9.0713j, -6.1981 + 8.1967j],
        1.0e-4,
    )


@pytest.mark.phenomenon(source="5.1")
def test_classical_cubic(evidence):
    """5.1: s^3 - (Xu + Mq) s^2 + Xu Mq s + g Mu; to 1e-4; period 13.7 s, doubles in 5.86 s."""
    matrix = np.array([[XU, 0, -G], [MU, MQ, 0], [0, 1, 0]])
    both(evidence, "the cubic", matrix, [-0.8751, 0.1183 + 0.4587j], 1.0e-4)
    first = growth(matrix)[0]
    evidence("period of the cubic's pair", 2.0 * np.pi / first.imag, 13.7, absolute=0.05, unit="s")
    evidence("doubling time of the cubic's pair", np.log(2.0) / first.real, 5.86, absolute=0.01, unit="s")


HOVER = np.array(
    [
        [0, 0, 0, 0.99857378005981, 0.05338427424431, 0, 0, 0],
        [0, 0, 1.0, -0.00318221934140, 0.05952465534210, 0, 0, 0],
        [0, 0, -11.57049560546880, -2.54463768005371, -0.06360262632370, 0.10678052902222, -0.09491866827011, 0.00710757449269],
        [0, 0, 0.43935656547546, -1.99818229675293, 0, 0.01665188372135, 0.01846204698086, -0.00118747074157],
        [0, 0, -2.04089546203613, -0.45899915695190, -0.73502779006958, 0.01925575733185, -0.00459562242031, 0.00212036073208],
        [-32.10360717773440, 0, -0.50335502624512, 2.29785919189453, 0, -0.02121581137180, -0.02116791903973, 0.01581159234047],
        [0.10216116905212, 32.05783081054690, -2.34721755981445, -0.50361156463623, 0.83494758605957, 0.02122657001019, -0.03787973523140, 0.00035400385968],
        [-1.91097259521484, 1.71382904052734, -0.00400543212891, -0.05741119384766, 0, 0.01398963481188, -0.00090675335377, -0.29051351547241],
    ]
)  # fmt: skip


@pytest.mark.phenomenon(source="5.2")
def test_eight_state_hover(evidence):
    """5.2: to 1e-5; the unstable pair .23 +- .55i is as in the book."""
    both(
        evidence,
        "the eight-state hover",
        HOVER,
        [-11.496755, -2.303618, -0.710358, -0.292334, -0.159323 + 0.598978j, 0.234198 + 0.551262j],
        1.0e-5,
    )


@pytest.mark.phenomenon(source="5.2")
def test_parts_of_the_eight_state_hover(evidence):
    """5.1, 5.2: longitudinal (u, w, q, theta), lateral (v, p, phi, r), and u, q, theta alone; to 1e-5."""

    def part(rows):
        return HOVER[np.ix_(rows, rows)]

    both(evidence, "its u, w, q, theta", part([5, 7, 3, 0]), [-2.134159, -0.291502, 0.057874 + 0.495792j], 1.0e-5)
    both(evidence, "its v, p, phi, r", part([6, 2, 1, 4]), [-11.623226, -0.703597, -0.008290 + 0.489367j], 1.0e-5)
    both(evidence, "its u, q, theta", part([5, 3, 0]), [-2.134618, 0.057610 + 0.496750j], 1.0e-5)


# references.md 4.5: mass [kg], inertia in pitch [kg m^2]; of upper (barred) and lower rotor: hub above the CG [m], spring of the head [N m/rad],
# thrust [N s^2] and torque [N m s^2] over the square of the speed; bar to blade ratio; following times of bar and of lower rotor [s]
PALM_MASS, PALM_INERTIA, PALM_RATIO, PALM_BAR_S, PALM_ROTOR_S = 0.302, 1.87e-3, 0.613, 1.6, 0.08
PALM_UPPER, PALM_LOWER = (0.165, 0.0542, 2.2607e-5, 9.9708e-7), (0.103, 0.2139, 3.1531e-5, 8.9737e-7)


def palm_stiffness() -> tuple[float, float]:
    """What a radian of tilt of either rotor turns the body by [1/s^2], in hover: weight carried, torques alike."""
    (h1, k1, t1, q1), (h2, k2, t2, q2) = PALM_UPPER, PALM_LOWER
    square = PALM_MASS * 9.81 / (t1 + t2 * q1 / q2)
    return (t1 * square * h1 + k1) / PALM_INERTIA, (t2 * square * q1 / q2 * h2 + k2) / PALM_INERTIA


@pytest.mark.phenomenon(
    source="4.5", conditions="palm-size coaxial helicopter with a bar, pitch in hover", why="last digit of the table"
)
@pytest.mark.parametrize(
    ("time", "expected"),
    [(PALM_BAR_S, [-4.4007 + 15.6389j, -4.3236, 0.0]), (None, [-6.25 + 13.2100j, -0.625, 0.0])],
    ids=["bar", "no bar"],
)
def test_palm_size_helicopter_with_a_bar(evidence, time, expected):
    """q' = K_bar e1 + K_low e2, theta' = q, e' = -q - e/tau; K from thrust times height and spring over inertia. Its bar follows in 1.6 s and its
    other rotor in .08 s: a ratio of 20, where the research helicopter of 4.3 has 7.4. So a bar this small need not be a quick one."""
    upper, lower = palm_stiffness()
    upper *= PALM_RATIO if time is not None else 0.0
    matrix = np.array(
        [
            [0.0, 0.0, upper, lower],
            [1.0, 0.0, 0.0, 0.0],
            [-1.0, 0.0, -1.0 / PALM_BAR_S, 0.0],
            [-1.0, 0.0, 0.0, -1.0 / PALM_ROTOR_S],
        ]
    )
    both(evidence, f"a palm-size helicopter, {'with its bar' if time else 'bar unlinked'}", matrix, expected, 1e-4)
