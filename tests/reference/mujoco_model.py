"""The craft as a MuJoCo model: the same tree, masses, places, inertias and joints, written from the parameter record.

MuJoCo (PyPI `mujoco`) is a general-purpose multibody engine; it makes its own kinematics, mass matrix and bias. The world is taken
north-east-down, so that place, attitude and body axes are ours without any change. Inertias are given by their principal values and
axes (numpy.linalg.eigh), because MuJoCo's own diagonalisation stops at products of 1e-12 kg m^2, which a 10 g craft has.

`Stepped` leaves everything, time too, to MuJoCo. `Tied` is for joints that go together (bar -> blade pitch, teeter -> blade pitch by delta-3, shaft ->
tail by the cord): MuJoCo's equality constraints are soft, so the ties are put in exactly instead, by the constant matrix G in
v = G u: (G' M G) du/dt = G' (tau - bias), M, bias and tau from MuJoCo, integrated by scipy.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import mujoco
import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp
from scipy.spatial.transform import Rotation

from paddlebar.flight import layout
from paddlebar.physics.motor import NONE

Array = NDArray[np.float64]
UP = np.array([0.0, 0.0, 1.0])


def _numbers(values: object) -> str:
    return " ".join(repr(float(v)) for v in np.atleast_1d(np.asarray(values, dtype=np.float64)).ravel())


def _quaternion(columns: Array) -> str:
    return _numbers(Rotation.from_matrix(columns).as_quat(scalar_first=True))


def _inertial(mass: float, centre: Array, inertia: Array) -> str:
    values, axes = np.linalg.eigh(inertia)
    axes = axes * np.sign(np.linalg.det(axes))
    return f'<inertial pos="{_numbers(centre)}" quat="{_quaternion(axes)}" mass="{_numbers(mass)}" diaginertia="{_numbers(values)}"/>'


def _hinge(name: str, axis: Array, place: Array, spring: float = 0.0, damper: float = 0.0) -> str:
    give = f'stiffness="{_numbers(spring)}" damping="{_numbers(damper)}"'
    return f'<joint name="{name}" type="hinge" axis="{_numbers(axis)}" pos="{_numbers(place)}" {give}/>'


def _blade(p: np.void, i: int, joints: bool = True) -> str:
    """Blade i in the shaft's frame at azimuth zero: hinge of flapping, hinge of feathering, mass."""
    hand = float(p["hand"])
    angle = hand * 2.0 * math.pi * i / int(p["blades"])
    out = np.array([math.cos(angle), math.sin(angle), 0.0])
    ahead = hand * np.cross(UP, out)  # where the blade goes as the shaft turns
    place = float(p["hinge_offset"]) * out
    cone = float(p["precone"])
    span = math.cos(cone) * out + math.sin(cone) * UP
    up = math.cos(cone) * UP - math.sin(cone) * out
    share, pitch = float(p["blade_share"][i]), float(p["blade_pitch"][i])
    edge, back = math.cos(pitch) * ahead + math.sin(pitch) * up, math.cos(pitch) * up - math.sin(pitch) * ahead
    axes = np.column_stack([span, edge, back])  # nose up by what it has over the mean
    centre = place + axes @ p["blade_centre"]
    inertial = _inertial(share * p["blade_mass"], centre, share * axes @ p["blade_inertia"] @ axes.T)
    if not joints:
        return inertial
    nose_up = np.cross(ahead, up)  # turns the leading edge towards up
    blade_up = np.cross(out, UP)  # turns the tip towards up
    # `Tied` applies spring and damper of the flap coordinate itself: a teeter has one of each, not one a blade
    flap = _hinge(f"flap{i}", blade_up, place) if p["flap_of_blade"][i] >= 0 else ""
    feather = _hinge(f"feather{i}", nose_up, place)
    return f"<body>{flap}{feather}{inertial}</body>"


def _linked(p: np.void) -> str:
    return "".join(_blade(p, i) for i in range(int(p["blades"])))


def _seesaw(p: np.void) -> str:
    """Two blades on one teeter hinge that takes blade 1 up; their pitch is fixed."""
    hinge = _hinge("flap", np.array([0.0, -1.0, 0.0]), np.zeros(3), p["flap_spring"], p["flap_damper"])
    return f"<body>{hinge}{_blade(p, 0, False)}<body>{_blade(p, 1, False)}</body></body>"


def _bar(p: np.void) -> str:
    hand = float(p["hand"])
    angle = hand * float(p["bar_lead"])
    out = np.array([math.cos(angle), math.sin(angle), 0.0])
    axes = np.column_stack([out, hand * np.cross(UP, out), UP])
    place = float(p["bar_height"]) * UP
    joint = _hinge("bar", np.cross(out, UP), place, p["bar_spring"], p["bar_damper"])
    return f"<body>{joint}{_inertial(p['bar_mass'], place + axes @ p['bar_centre'], axes @ p['bar_inertia'] @ axes.T)}</body>"


def mjcf(p: np.void, blades: str, step: float = 1e-4) -> str:
    """MJCF text of a craft with the given bodies as blades."""
    mass = float(p["body_mass"])
    c = p["body_moment"] / mass
    inertia = p["body_inertia"] - mass * (c @ c * np.eye(3) - np.outer(c, c))
    shaft = np.column_stack([p["aft"], p["right"], p["shaft_axis"]])
    hub = np.diag([p["hub_diametral"], p["hub_diametral"], p["hub_polar"]])
    tail = np.outer(p["tail_axis"], p["tail_axis"]) * (p["tail_polar"] - p["tail_diametral"]) + p[
        "tail_diametral"
    ] * np.eye(3)
    return f"""<mujoco>
  <compiler angle="radian"/>
  <option timestep="{_numbers(step)}" integrator="RK4" gravity="0 0 {_numbers(p["gravity"])}"><flag contact="disable" energy="enable"/></option>
  <worldbody><body><freejoint/>{_inertial(mass, c, inertia)}
    <body pos="{_numbers(p["hub_place"])}" quat="{_quaternion(shaft)}">
      {_hinge("shaft", p["hand"] * UP, np.zeros(3))}{_inertial(p["hub_mass"], np.zeros(3), hub)}
      {blades}{_bar(p)}
    </body>
    <body pos="{_numbers(p["tail_place"])}">{_hinge("tail", p["tail_hand"] * p["tail_axis"], np.zeros(3))}{_inertial(p["tail_mass"], np.zeros(3), tail)}</body>
  </body></worldbody></mujoco>"""


def _joints(p: np.void) -> Iterator[tuple[str, dict[int, float]]]:
    """Rate of every MuJoCo joint from ours: index (0 shaft, 1 bar, 2 tail, 3 ... flap coordinates) -> share."""
    yield "shaft", {0: 1.0}
    yield "bar", {1: 1.0}
    yield "tail", {0: float(p["cord_ratio"])} if p["cord_mode"] == 1 else {2: 1.0}
    for i in range(int(p["blades"])):
        which, sense = int(p["flap_of_blade"][i]), float(p["flap_sign"][i])
        pitch = {1: float(p["feather_share"][i])}
        if which >= 0:
            yield f"flap{i}", {3 + which: sense}
            pitch[3 + which] = -float(p["flap_coupling"]) * sense
        yield f"feather{i}", pitch


@dataclass
class History:
    """Samples (n, ...): place (3), attitude (4) scalar first, joints (n, 3 + flaps) shaft, bar, tail, flap; energy [J]."""

    place: Array
    attitude: Array
    joints: Array
    energy: Array


class Tied:
    """A craft in MuJoCo with the ties of its linkage, of the teeter and of the cord in the matrix G."""

    def __init__(self, p: np.void) -> None:
        self.p = p
        self.nf = int(p["flaps"])
        self.model = mujoco.MjModel.from_xml_string(mjcf(p, _linked(p)))
        self.data = mujoco.MjData(self.model)
        self.tie = np.zeros((self.model.nv, 9 + self.nf))
        self.tie[:6, :6] = np.eye(6)
        self.at: dict[str, int] = {}
        for name, shares in _joints(p):
            joint = self.model.joint(name)
            self.at[name] = int(joint.qposadr[0])
            for index, share in shares.items():
                self.tie[int(joint.dofadr[0]), 6 + index] = share
        held = [8] if p["cord_mode"] == 1 else []
        held += [7] if p["locked"][7] else []
        every = np.eye(9 + self.nf)
        every[8, 6] = p["cord_ratio"] if p["cord_mode"] == 1 else 0.0
        self.free = np.delete(every, held, axis=1)
        self.momentum = np.zeros((self.model.nv, self.free.shape[1]))  # M G
        self.column = np.zeros(self.model.nv)

    def start(self, y: Array) -> tuple[Array, Array]:
        """MuJoCo's coordinates and our independent speeds (datum velocity in earth axes) of one of our states."""
        at = layout.slices(self.nf)
        joints = np.concatenate([[y[layout.ROTOR_AZIMUTH], y[layout.BAR_ANGLE], y[layout.TAIL_ANGLE]], y[at["flap"]]])
        speeds = np.concatenate([[y[layout.ROTOR_SPEED], y[layout.BAR_RATE], y[layout.TAIL_SPEED]], y[at["flap_rate"]]])
        attitude = y[at["attitude"]]
        velocity = Rotation.from_quat(attitude, scalar_first=True).apply(y[at["velocity_body"]])
        coordinates = np.concatenate([y[at["position"]], attitude, self.tie[6:, 6:] @ joints])
        return coordinates, np.concatenate([velocity, y[at["rate_body"]], speeds])

    def _set(self, coordinates: Array, u: Array) -> None:
        self.data.qpos[:] = coordinates
        self.data.qvel[:] = self.tie @ u

    def torque(self, u: Array, joints: Array) -> Array:
        """Generalised force of motor and of the flap hinges' springs and dampers on our speeds (9 + flaps)."""
        p = self.p
        force = np.zeros(9 + self.nf)
        skein = p["skein"]
        if skein["kind"] != NONE:  # the linear skein of still_craft.add_spring_motor
            turns = skein["turns"] - joints[0] / (2.0 * math.pi)
            force[6] = skein["table"][-1] * turns / skein["table_last"]
        force[9:] = -p["flap_spring"] * joints[3:] - p["flap_damper"] * u[9:]
        return force

    def _own(self, coordinates: Array) -> Array:
        """Our joint angles from MuJoCo's: shaft, bar, tail, flap coordinates."""
        found = [coordinates[self.at[name]] for name in ("shaft", "bar", "tail")]
        for k in range(self.nf):
            i = int(np.flatnonzero(self.p["flap_of_blade"][: int(self.p["blades"])] == k)[0])
            found.append(self.p["flap_sign"][i] * coordinates[self.at[f"flap{i}"]])
        return np.array(found)

    def rates(self, coordinates: Array, u: Array) -> tuple[Array, Array]:
        """Rates of the coordinates and of the independent speeds."""
        self._set(coordinates, u)
        mujoco.mj_forward(self.model, self.data)
        g = self.tie @ self.free
        for k in range(g.shape[1]):  # mj_mulM means the same in all versions of MuJoCo, mj_fullM does not
            mujoco.mj_mulM(self.model, self.data, self.column, np.ascontiguousarray(g[:, k]))
            self.momentum[:, k] = self.column
        force = self.free.T @ (
            self.torque(u, self._own(coordinates)) + self.tie.T @ (self.data.qfrc_passive - self.data.qfrc_bias)
        )
        du = self.free @ np.linalg.solve(g.T @ self.momentum, force)
        w, x, y, z = coordinates[3:7]
        a, b, c = u[3:6]
        turn = 0.5 * np.array(
            [-x * a - y * b - z * c, w * a + y * c - z * b, w * b + z * a - x * c, w * c + x * b - y * a]
        )
        return np.concatenate([u[:3], turn, self.tie[6:, 6:] @ u[6:]]), du

    def energy(self, coordinates: Array, u: Array) -> float:
        """MuJoCo's kinetic energy and, with gravity, potential energy [J]."""
        self._set(coordinates, u)
        mujoco.mj_forward(self.model, self.data)
        return float(self.data.energy.sum())

    def fly(self, y: Array, times: Array, rtol: float = 1e-10) -> History:
        """Samples at the times, by DOP853 over MuJoCo's mass matrix and bias."""
        coordinates, u = self.start(y)
        n = coordinates.size

        def f(_: float, s: Array) -> Array:
            q = s[:n].copy()
            q[3:7] /= np.linalg.norm(q[3:7])
            return np.concatenate(self.rates(q, s[n:]))

        found = solve_ivp(
            f,
            (times[0], times[-1]),
            np.concatenate([coordinates, u]),
            method="DOP853",
            rtol=rtol,
            atol=1e-11,
            t_eval=times,
        )
        assert found.success, found.message
        s = found.y.T
        turned = s[:, 3:7] / np.linalg.norm(s[:, 3:7], axis=1, keepdims=True)
        energy = np.array(
            [self.energy(np.concatenate([a[:3], b, a[7:n]]), a[n:]) for a, b in zip(s, turned, strict=True)]
        )
        return History(s[:, :3], turned, np.array([self._own(a[:n]) for a in s]), energy)


class Stepped:
    """A two-bladed craft without linkage, delta-3 or cord, stepped by MuJoCo's own Runge-Kutta integrator of fourth order.

    The teeter is one body with one joint: blade 1, and blade 2 welded to it.
    """

    def __init__(self, p: np.void, step: float) -> None:
        assert p["cord_mode"] == 0
        assert not p["feather_share"].any()
        assert p["flap_coupling"] == 0.0
        assert p["flap_of_blade"][:2].tolist() == [0, 0]
        self.step = step
        self.model = mujoco.MjModel.from_xml_string(mjcf(p, _seesaw(p), step))
        self.data = mujoco.MjData(self.model)
        self.names = ("shaft", "bar", "tail", "flap")

    def fly(self, y: Array, times: Array) -> History:
        """Samples at the times, which must be multiples of the step."""
        at = layout.slices(1)
        m, d = self.model, self.data
        d.qpos[:3], d.qpos[3:7] = y[at["position"]], y[at["attitude"]]
        d.qvel[:3] = Rotation.from_quat(y[at["attitude"]], scalar_first=True).apply(y[at["velocity_body"]])
        d.qvel[3:6] = y[at["rate_body"]]
        angles = [m.joint(name).qposadr[0] for name in self.names]
        speeds = [m.joint(name).dofadr[0] for name in self.names]
        d.qpos[angles] = y[[layout.ROTOR_AZIMUTH, layout.BAR_ANGLE, layout.TAIL_ANGLE, layout.FLAP]]
        d.qvel[speeds] = y[[layout.ROTOR_SPEED, layout.BAR_RATE, layout.TAIL_SPEED, layout.FLAP + 1]]
        rows = []
        done = 0
        for time in times:
            count = round(time / self.step)
            if count > done:
                mujoco.mj_step(m, d, nstep=count - done)
            done = count
            mujoco.mj_forward(m, d)
            rows.append(np.concatenate([d.qpos[:7], d.qpos[angles], [d.energy.sum()]]))
        table = np.array(rows)
        return History(table[:, :3], table[:, 3:7], table[:, 7:11], table[:, 11])
