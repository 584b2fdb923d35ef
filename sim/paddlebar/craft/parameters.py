"""The flat parameters of the equations: one structured record, every entry with its unit and meaning.

The jitted functions read them by name (``p.radius``); nothing else knows their order.
"""

from __future__ import annotations

import numpy as np

from paddlebar.physics.bodies import FLAP, SETTINGS
from paddlebar.physics.motor import DTYPE as MOTOR

MAX_BLADES = 6
MAX_ELEMENTS = 100
MAX_PADDLE = 50
MAX_LUMPS = 4
MAX_STATIONS = 128
MAX_CONTACTS = 256
MAX_DOF = FLAP + MAX_BLADES
MAX_ZONES = 72

F = np.float64
I = np.int64  # noqa: E741

# name, type, shape, unit, meaning
FIELDS: tuple[tuple[str, type | np.dtype[np.void], tuple[int, ...], str, str], ...] = (
    ("gravity", F, (), "m/s^2", "acceleration of free fall"),
    ("rho", F, (), "kg/m^3", "density of the air"),
    ("nu", F, (), "m^2/s", "kinematic viscosity of the air"),
    # fuselage: everything that does not turn
    ("body_mass", F, (), "kg", "mass of the fuselage"),
    ("body_moment", F, (3,), "kg m", "mass times centre of gravity from the datum, body axes"),
    ("body_inertia", F, (3, 3), "kg m^2", "inertia about the datum, body axes"),
    # shaft and hub
    ("hub_place", F, (3,), "m", "hub from the datum, body axes"),
    ("shaft_axis", F, (3,), "1", "unit vector along the shaft, upwards"),
    ("aft", F, (3,), "1", "unit vector across the shaft, aft"),
    ("right", F, (3,), "1", "unit vector across the shaft, right"),
    ("hand", F, (), "1", "+1 counter-clockwise seen from above, -1 clockwise"),
    ("hub_mass", F, (), "kg", "mass of the hub"),
    ("hub_polar", F, (), "kg m^2", "inertia of the hub about the shaft"),
    ("hub_diametral", F, (), "kg m^2", "inertia of the hub across the shaft"),
    ("shaft_friction", F, (), "N m", "dry friction of the bearing"),
    # blades
    ("blades", I, (), "1", "number of blades"),
    ("flaps", I, (), "1", "number of flapping coordinates"),
    ("flap_of_blade", I, (MAX_BLADES,), "1", "which flapping coordinate moves the blade, -1 none"),
    ("flap_sign", F, (MAX_BLADES,), "1", "sense in which it moves it"),
    ("feather_share", F, (MAX_BLADES,), "1", "pitch of the blade per tilt of the bar"),
    ("radius", F, (), "m", "rotor radius"),
    ("precone", F, (), "rad", "built-in coning"),
    ("hinge_offset", F, (), "m", "flapping hinge from the shaft"),
    ("flap_coupling", F, (), "1", "tan(delta3)"),
    ("blade_mass", F, (), "kg", "one blade; of unequal ones the mean"),
    ("blade_share", F, (MAX_BLADES,), "1", "mass of each over the mean"),
    ("blade_pitch", F, (MAX_BLADES,), "rad", "pitch of each over the mean"),
    ("blade_centre", F, (3,), "m", "its centre of mass from the hinge, blade axes (out, forward, up)"),
    ("blade_inertia", F, (3, 3), "kg m^2", "about its centre of mass, blade axes, of the mean"),
    ("flap_spring", F, (), "N m/rad", "hinge spring"),
    ("flap_damper", F, (), "N m s/rad", "hinge damper"),
    ("flap_friction", F, (), "N m", "dry friction"),
    ("flap_stop", F, (), "rad", "angle of the stops"),
    ("flap_stop_stiffness", F, (), "N m/rad^1.5", "stiffness of the stops"),
    ("stop_damping", F, (), "s/rad", "of all stops"),
    # blade elements
    ("elements", I, (), "1", "elements a blade"),
    ("el_x", F, (MAX_ELEMENTS,), "m", "from the hinge"),
    ("el_pitch", F, (MAX_ELEMENTS,), "rad", "built-in pitch"),
    ("el_cos", F, (MAX_ELEMENTS,), "1", "its cosine"),
    ("el_sin", F, (MAX_ELEMENTS,), "1", "its sine"),
    ("el_chord", F, (MAX_ELEMENTS,), "m", "chord"),
    ("el_log_chord", F, (MAX_ELEMENTS,), "log s/m", "log of chord over viscosity"),
    ("el_half_area", F, (MAX_ELEMENTS,), "kg/m", "rho c dr / 2"),
    ("el_damping", F, (MAX_ELEMENTS,), "kg m", "pi rho c^3 dr / 16"),
    ("el_chord_over_r", F, (MAX_ELEMENTS,), "1", "for the stall delay, 0 off"),
    ("el_y_quarter", F, (MAX_ELEMENTS,), "m", "quarter chord ahead of the feathering axis"),
    ("el_shape", F, (MAX_ELEMENTS,), "1", "local over mean induced velocity"),
    ("rotor_alpha_zero", F, (), "rad", "zero-lift angle of the blade section"),
    # bar
    ("bar_lead", F, (), "rad", "arm 1 leads blade 1 by"),
    ("bar_height", F, (), "m", "hinge above the hub along the shaft"),
    ("bar_mass", F, (), "kg", "whole bar"),
    ("bar_centre", F, (3,), "m", "centre of mass from the hinge, arm axes (out, forward, up)"),
    ("bar_inertia", F, (3, 3), "kg m^2", "about its centre of mass, arm axes"),
    ("bar_spring", F, (), "N m/rad", "hinge spring"),
    ("bar_damper", F, (), "N m s/rad", "hinge damper"),
    ("bar_friction", F, (), "N m", "dry friction"),
    ("bar_stop", F, (), "rad", "angle of the stops"),
    ("bar_stop_stiffness", F, (), "N m/rad^1.5", "stiffness of the stops"),
    ("paddle_on", F, (2,), "1", "1 while the paddle of that arm is there"),
    ("paddle_elements", I, (), "1", "elements a paddle"),
    ("paddle_x", F, (MAX_PADDLE,), "m", "from the hinge"),
    ("paddle_half_area", F, (MAX_PADDLE,), "kg/m", "rho c dr / 2"),
    ("paddle_shape", F, (MAX_PADDLE,), "1", "local over mean induced velocity"),
    ("paddle_chord", F, (), "m", "chord"),
    ("paddle_log_chord", F, (), "log s/m", "log of chord over viscosity"),
    ("paddle_pitch", F, (), "rad", "incidence"),
    ("paddle_slope", F, (), "1", "lift slope over the two-dimensional one"),
    ("bar_lumps", I, (), "1", "drag lumps an arm"),
    ("bar_lump_x", F, (MAX_LUMPS,), "m", "from the hinge"),
    ("bar_lump_shape", F, (MAX_LUMPS,), "1", "local over mean induced velocity"),
    ("bar_half_drag", F, (2, MAX_LUMPS), "kg/m", "rho cd S / 2"),
    # what turns the shaft
    ("skein", MOTOR, (), "1", "motor of the rotor's shaft, see physics/motor.py"),
    # tail
    ("tail_place", F, (3,), "m", "tail hub from the datum, body axes"),
    ("tail_axis", F, (3,), "1", "unit vector of its thrust"),
    ("tail_one", F, (3,), "1", "unit vector in its plane"),
    ("tail_two", F, (3,), "1", "the other one, right-handed with the axis"),
    ("tail_hand", F, (), "1", "sense of its rotation about its thrust"),
    ("tail_mass", F, (), "kg", "tail rotor"),
    ("tail_polar", F, (), "kg m^2", "about its axis"),
    ("tail_diametral", F, (), "kg m^2", "across its axis"),
    ("tail_radius", F, (), "m", "radius"),
    ("tail_blades", I, (), "1", "number of blades"),
    ("tail_elements", I, (), "1", "elements a blade"),
    ("tail_x", F, (MAX_ELEMENTS,), "m", "from its hub"),
    ("tail_pitch", F, (MAX_ELEMENTS,), "rad", "pitch"),
    ("tail_log_chord", F, (MAX_ELEMENTS,), "log s/m", "log of chord over viscosity"),
    ("tail_half_area", F, (MAX_ELEMENTS,), "kg/m", "rho c dr / 2"),
    ("tail_chord_over_r", F, (MAX_ELEMENTS,), "1", "for the stall delay, 0 off"),
    ("tail_shape", F, (MAX_ELEMENTS,), "1", "local over mean induced velocity"),
    ("tail_alpha_zero", F, (), "rad", "zero-lift angle of the section"),
    ("tail_wash_down", F, (), "1", "share of the main inflow that it meets, flow downwards"),
    ("tail_wash_up", F, (), "1", "the same, flow upwards"),
    ("cord_mode", I, (), "1", "NO_CORD, GRIPS or SLIPS of physics/cord.py"),
    ("cord_ratio", F, (), "1", "tail turns a rotor turn"),
    ("cord_limit", F, (), "N m", "largest torque at the tail before the cord slips"),
    ("cord_sense", F, (), "1", "sense of the slip: +1 the cord pulls the tail on"),
    ("cord_loss", F, (), "1", "share of the torque lost"),
    ("tail_friction", F, (), "N m", "dry friction of the tail's bearings"),
    ("tail_skein", MOTOR, (), "1", "motor of the tail's own shaft, none while a cord drives it"),
    # airframe in the air
    ("stations", I, (), "1", "number of stations"),
    ("st_kind", I, (MAX_STATIONS,), "1", "PLATE, ROD or LUMP of physics/airframe.py"),
    ("st_place", F, (MAX_STATIONS, 3), "m", "from the datum, body axes"),
    ("st_axis", F, (MAX_STATIONS, 3), "1", "normal of a plate, axis of a rod"),
    ("st_half_drag", F, (MAX_STATIONS,), "kg/m", "rho cd S / 2"),
    ("st_wash_down", F, (MAX_STATIONS,), "1", "share of the main inflow, flow downwards"),
    ("st_wash_up", F, (MAX_STATIONS,), "1", "share of the main inflow, flow upwards"),
    # room
    ("contacts", I, (), "1", "number of points that may touch"),
    ("contact_place", F, (MAX_CONTACTS, 3), "m", "from the datum, body axes"),
    ("ceiling", F, (), "m", "height of the ceiling, inf none"),
    ("wall_north", F, (), "m", "half length of the room, inf none"),
    ("wall_east", F, (), "m", "half width of the room, inf none"),
    ("ground_effect", I, (), "1", "1 on"),
    # what breaks
    ("break_torque", F, (), "N m", "torque of the skein at which stick or boom gives way, 0 none"),
    ("zones", I, (), "1", "number of azimuths at which blades may meet a part"),
    ("zone_cos", F, (MAX_ZONES,), "1", "cosine of the azimuth"),
    ("zone_sin", F, (MAX_ZONES,), "1", "its sine"),
    ("zone_limit", F, (MAX_ZONES,), "rad", "angle of the blade at which it touches, coning included"),
    ("zone_sense", F, (MAX_ZONES,), "1", "+1 the part lies below, -1 above"),
    # wind
    ("wind_north", F, (), "m/s", "at the reference height"),
    ("wind_east", F, (), "m/s", "at the reference height"),
    ("wind_reference", F, (), "m", "reference height"),
    ("wind_shear", F, (), "1", "exponent"),
    ("gust_north", F, (), "m/s", "peak of the gust"),
    ("gust_east", F, (), "m/s", "peak of the gust"),
    ("gust_start", F, (), "s", "start"),
    ("gust_length", F, (), "s", "length in time"),
    ("turbulence_rate", F, (), "1/s", "rows of the turbulence table a second, 0 none"),
    # what comes from outside
    ("settings", F, (SETTINGS,), "rad", "of the actuators, see SETTING of physics/bodies.py"),
    ("own_force", I, (), "1", "address of a force of one's own, see physics/outside.py, 0 none"),
    # how the equations are taken
    ("inflow_mode", I, (), "1", "NO_INFLOW, FROZEN or DYNAMIC of physics/inflow.py"),
    ("base_locked", I, (), "1", "1 while the fuselage is held"),
    ("locked", I, (MAX_DOF,), "1", "1 for a coordinate that does not move"),
)

DTYPE = np.dtype([(name, kind, shape) for name, kind, shape, _, _ in FIELDS], align=True)


def blank() -> np.ndarray:
    """A record with everything zero: shape (1,), so that compiled functions take it cheaply."""
    return np.zeros(1, dtype=DTYPE)
