"""Text of the first scenario that ``paddlebar new NAME`` writes, every key explained in a line."""

from __future__ import annotations

SCENARIO = """\
# A first flight of NAME. EVERY FIGURE IS INVENTED: replace it by your own.
#
CAUTIONS#
craft = "NAME.toml"             # path of the craft file, from this file
title = "NAME, first flight"    # (may go) what tables and pictures call it
note = ""                       # (may go) a remark for yourself

# Changes to the craft for this flight only, e.g. the bar taken off:
# [change.bar]
# kind = "none"
# or another weight of one part, by its name:
# [change.part.stick]
# mass_g = 1.1

[skein]
turns = 400                     # wound so far; must not pass breaking turns
backed_off = 0                  # (may go) then let back by so many
tail_turns = 0                  # (may go) turns of the tail's own skein

[launch]
height_m = 1.5                  # datum above the floor
tilt_deg = 3                    # (may go, 0) how far it leans
tilt_toward_deg = 0             # (may go) where to: 0 nose, 90 right, 180 tail
heading_deg = 0                 # (may go) where the nose points: 0 north, 90 east
push_m_s = [0, 0, 0]            # (may go) speed of the hand: forward, right, up
spin_deg_s = 0                  # (may go) turn of the body, nose to the right positive
rotor_rpm = 0                   # (may go) speed of the rotor against the body
bar_deg = 0                     # (may go) tilt of the bar
teeter_deg = 0                  # (may go) tilt of the blades
# release: "free"; "held": the body is held for hold_s while the rotor turns; "floor": it stands until it lifts
release = "held"                # (may go, "free")
hold_s = 0.5                    # (may go, 0) how long it is held

[air]
temperature_C = 20              # (may go) of the air, and of the rubber
pressure_hPa = 1013.25          # (may go) of the air
# density_kg_m3 = 1.2           # (may go) instead of the two above
wind_m_s = 0                    # (may go) at reference height
wind_from_deg = 0               # (may go) 0 north, 90 east
shear_exponent = 0              # (may go) 0.14 over grass: less wind near the ground
reference_height_m = 2          # (may go) height at which the wind is as given
gust_m_s = 0                    # (may go) peak of a gust on top
gust_from_deg = 0               # (may go: as wind_from_deg) where the gust comes from
gust_start_s = 1                # (may go) when it begins
gust_length_s = 1               # (may go) how long it lasts
turbulence = false              # (may go) true: the wind is unsteady too
seed = 1                        # (may go) another number, another turbulence

[room]
ceiling_m = 8                   # (may go: no ceiling) height of the ceiling
length_m = 30                   # (may go: no walls) north to south; launch is in the middle
width_m = 20                    # (may go, with length_m) west to east
ground_effect = true            # (may go) false: the floor does not help the rotor

# [[mishap]]                    # something that goes wrong on cue, as many as you like
# what = "cord off"             # or "cord slips", "skein breaks", "tip mass lost", "paddle lost", "bar locked",
#                               # "teeter locked"
# at_s = 3                      # at this time,
# at_turns = 200                # or instead when so many turns are left
# arm = 1                       # (may go) which arm of the bar, 1 or 2

[run]
duration_s = 30                 # (may go) longest flight computed
method = "DOP853"               # (may go) of scipy's solvers; or RK45, RK23, Radau, BDF, LSODA
rtol = 1e-5                     # (may go) tolerance of the solver
max_step_s = 0.02               # (may go) longest step
tilt_limit_deg = 100            # (may go) past this it counts as tipped over
after_tipping = "stop"          # (may go) what then; or "fly on"
breakage = true                 # (may go) false: a stick bears any load, blades pass through parts
blade_elements = 8              # (may go) pieces that a blade is cut into
tail_elements = 3               # (may go) pieces of a tail blade
paddle_elements = 2             # (may go) pieces of a paddle
inflow = "dynamic"              # (may go) air through the rotor: follows the thrust, or "frozen", "none"
radial_inflow = "annular"       # (may go) how it is spread along the blade: ring by ring, or "uniform"
tip_loss = true                 # (may go) tips lift less
stall_delay = true              # (may go) turning blades stall later than a section in a tunnel

[pictures]
draw = ["height", "plan", "yaw", "bar", "ledger"]   # (may go) which
dpi = 110                       # (may go) how fine, dots an inch
"""
