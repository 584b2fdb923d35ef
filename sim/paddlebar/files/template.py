"""Text for ``paddlebar new NAME``: a craft file and a first scenario, every key explained in a line.

The figures are those of an invented craft that loads and flies, so that a builder can replace one entry at a time.
"""

from __future__ import annotations

import re

from paddlebar.errors import BadInput
from paddlebar.files.cautions import as_comment
from paddlebar.files.template_flight import SCENARIO

CRAFT = """\
# NAME: a craft for paddlebar. EVERY FIGURE BELOW IS INVENTED: replace it by your own, from a scale and a ruler.
#
CAUTIONS#
# The unit stands at the end of each key: _g grams, _mm millimetres, _deg degrees, _mN_m thousandths of a N m.
# Places are [forward, right, up] in mm from a datum of your choice; here the datum is the hub's centre.
# A key marked (may go) can be left out: the program then takes a value of its own (the one here, if no other is named).

name = "NAME"                   # what tables and pictures call it
note = "invented figures"       # (may go) a remark for yourself
all_up_g = 9.7                  # (may go) the whole craft on the scale, rubber included; within 5 % of the sum
airframe_drag_factor = 1        # (may go) on the drag of all parts and of the skein; `match` can find it

# ---- parts fixed to the fuselage, one [[part]] each: kind point, rod, tube, plate or ring ------------------

[[part]]
name = "bearing"                # a name of its own for each part
kind = "point"                  # a lump; or rod, tube, plate, ring, as below
at_mm = [4, 0, -16]             # where it is
mass_g = 0.35                   # as weighed
drag_area_mm2 = 40              # (may go, 0) its area against the wind
drag = true                     # (may go) false: it feels no wind
touches = false                 # (may go, true) false: it never touches floor or walls
material = "printed PLA"        # (may go) what it is made of, for `check` alone; or "balsa", "light balsa", "medium balsa", "hard balsa", "spruce",
                                # "pultruded carbon", "wrapped carbon", "printed PETG", "printed nylon", "music wire"

[[part]]
name = "stick"
kind = "rod"                    # a straight rod, wire or stick; a "tube" is given alike
from_mm = [9, 0, -14]           # one end
to_mm = [9, 0, -226]            # the other end
diameter_mm = 4                 # thickness of rod, wire or tube, side of a square stick; of a ring: across it
# wall_mm = 0.5                 # (may go) of a tube; without it: thin
cross_section = "square"        # (may go, "round") shape of a rod, for `check` alone; a flat strip is a plate, along = its length
mass_g = 0.87
material = "balsa"              # (may go) "balsa" is judged by its weight, the three grades are not

[[part]]
name = "boom"
kind = "rod"
from_mm = [9, 0, -100]
to_mm = [-248, 0, -100]
diameter_mm = 2.5
cross_section = "square"
mass_g = 0.52
material = "spruce"

[[part]]
name = "fin"
kind = "plate"                  # a flat rectangle
at_mm = [-215, 0, -118]         # its centre
length_mm = 30                  # its length, in the direction of `along`
width_mm = 25                   # its width
along = [1, 0, 0]               # direction of its length (any size of vector)
normal = [0, 1, 0]              # direction that stands on the plate
thickness_mm = 1                # (may go) of the plate
mass_g = 0.08
drag_coefficient = 1.2          # (may go: then from a table by kind) on the area facing the wind

[[part]]
name = "nose rod"
kind = "rod"
from_mm = [9, 0, -150]
to_mm = [170, 0, -150]
diameter_mm = 2
mass_g = 0.25

[[part]]
name = "nose weight"
kind = "point"
at_mm = [170, 0, -150]
mass_g = 0.88

[[part]]
name = "foot"
kind = "ring"                   # a ring of wire
at_mm = [9, 0, -250]            # its centre
diameter_mm = 120               # across the ring
wire_diameter_mm = 0.5          # of the wire
normal = [0, 0, 1]              # axis of the ring
mass_g = 0.46

# ---- rotor shaft and hub -----------------------------------------------------------------------------------

[shaft]
hub_mm = [0, 0, 0]              # centre of the hub, where the blades' axis crosses the shaft
tilt_forward_deg = 0            # (may go) the shaft's top leans to the nose
tilt_right_deg = 0              # (may go) the shaft's top leans to the right
turns = "counter-clockwise"     # (may go) seen from above; or "clockwise"
friction_mN_m = 0.02            # (may go) drag of the bearing
hub_mass_g = 0.7                # hub and shaft
hub_diameter_mm = 18            # of the hub, taken as a disc

# ---- blades, all alike -------------------------------------------------------------------------------------

[rotor]
blades = 2                      # 2 to 6
radius_mm = 200                 # shaft to tip
root_mm = 25                    # shaft to where the blade begins
chord_mm = 30                   # width of the blade at the root
tip_chord_mm = 30               # (may go: as chord_mm) width at the tip
collective_deg = 12             # pitch at 75 % of the radius
twist_deg = -4                  # (may go, 0) pitch of the tip minus pitch at the centre
blade_mass_g = 0.9              # each
# blade_masses_g = [0.90, 0.91] # (may go) each on the scale, for the balance that `check` shows; flights take blade_mass_g
material = "medium balsa"       # (may go) what they are made of, for `check` alone; or as of a part
thickness_mm = 1.0              # (may go) of the sheet
section = "cambered plate"      # shape across the blade; or "shallow cambered plate", "flat plate", "thin aerofoil", a csv table
drag_factor = 1                 # (may go) on the drag of the section, say 1.15 for a rough or thick edge; `match` can find it
feather_axis_percent = 25       # (may go) where along the chord, from the leading edge, the blade turns for pitch
mass_axis_percent = 45          # (may go) where along the chord the blade's weight lies
# [[rotor.station]]             # instead of chord and twist, as many as you like, going outwards:
# radius_mm = 50                #   place
# chord_mm = 34                 #   width there
# pitch_deg = 3                 #   pitch there; collective_deg is then added

[head]
kind = "teetering"              # two blades as one seesaw; or "rigid" (no hinge), "flapping" (a hinge a blade)
precone_deg = 2                 # (may go, 0) blades stand up by so much
hinge_offset_mm = 0             # (may go) flapping only: shaft to hinge
spring_mN_m_rad = 0             # (may go) stiffness of the hinge
damping_mN_m_s = 0              # (may go) damping of the hinge, per rad/s
friction_mN_m = 0.005           # (may go, 0) friction of the hinge
delta3_deg = 0                  # (may go) hinge askew: blade up lowers its pitch when positive
stop_deg = 15                   # (may go, 25) how far the blades can flap

# ---- the paddle bar ----------------------------------------------------------------------------------------

[bar]
kind = "seesaw"                 # it tilts on a hinge; or "locked" (no hinge), "none"
# lead_deg: how far the arm leads, in the sense of rotation, the blade whose pitch it raises when that tip is up
lead_deg = 90
gain = 0.8                      # degrees of blade pitch for a degree of bar tilt; negative: reversed linkage
height_mm = 14                  # (may go, 0) above the hub
arm_mm = 80                     # hinge to centre of the tip mass
wire_diameter_mm = 0.6          # thickness of the wire
wire_mass_g = 0.37              # both arms together
tip_mass_g = 0.4                # each
# tip_masses_g = [0.40, 0.41]   # (may go) each on the scale, arm 1 and 2, for the balance that `check` shows
tip_diameter_mm = 4             # (may go) size of a tip mass, taken as a ball
paddle_span_mm = 0              # (may go) paddles: length along the arm; 0 for none
paddle_chord_mm = 0             # (may go) paddles: width
paddle_centre_mm = 80           # (may go: as arm_mm) hinge to centre of the paddle
paddle_mass_g = 0               # (may go) each
paddle_incidence_deg = 0        # (may go) pitch of the paddle
paddle_section = "flat plate"   # (may go) as for the rotor
friction_mN_m = 0.002           # (may go, 0) friction of the hinge, links included
damping_mN_m_s = 0              # (may go) damping of the hinge, per rad/s
spring_mN_m_rad = 0             # (may go) stiffness of the hinge
stop_deg = 25                   # (may go, 30) how far the bar can tilt

# ---- rubber ------------------------------------------------------------------------------------------------

[skein]
strands = 6                     # lengths of strip side by side (a loop of one strip has two)
width_mm = 2.0                  # of one strip
thickness_mm = 1.0              # of one strip
# linear_density_g_m = 1.86     # instead of width and thickness: what a metre of one strip weighs, not stretched
# mass_g = 2.2                  # instead of strands and all of these: the skein on the scale
length_mm = 200                 # made up, lying straight, not stretched
density_kg_m3 = 930             # (may go) of the rubber
breaking_constant = 10          # (may go) good rubber 8 to 13; breaking turns = constant x length / sqrt(section)
energy_kJ_kg = 6                # (may go) energy that it lets out from breaking turns, unwinding, once settled
loss_percent = 30               # (may go) share of the winding work that never comes back
settle_percent = 4              # (may go) turns over which the torque settles after winding, of breaking turns
spike = 2.5                     # (may go) torque at breaking turns over that of the long plateau
knee_percent = 8                # (may go) last turns, over which the torque dies, of breaking turns
reference_C = 20                # (may go) temperature at which all this holds
percent_per_K = 0.5             # (may go) more torque for each degree above it
hooks_mm = [[0, 0, -22], [0, 0, -218]]   # upper (on the shaft) and lower hook
# stick = "stick"               # (may go: what lies along the skein) for `check` alone: the part that bears the skein's pull
run_out = "freewheel"           # (may go) what the shaft does when the turns are used up; or "rewinds", "locked"
# measured = "torque.csv"       # (may go) your own torque curve, unwinding: columns turns,torque_mN_m

# ---- tail rotor; leave the table out, or write drive = "none", if there is none ----------------------------

[tail]
# drive: "cord" over two pulleys from the shaft; "skein", an own one in [tail.skein], entries as in [skein]; "none"
drive = "cord"
at_mm = [-248, -6, -100]        # its centre
thrust_to = "left"              # where it pushes the tail; or "right"
blades = 2                      # (may go) how many
radius_mm = 45                  # its shaft to a tip
root_mm = 8                     # its shaft to where the blade begins
chord_mm = 12                   # width of the blade
pitch_deg = 14                  # at 75 % of the radius
twist_deg = 0                   # (may go) pitch of the tip minus pitch at the centre
section = "flat plate"          # as for the rotor
mass_g = 0.35                   # the whole tail rotor
drive_pulley_mm = 20            # diameter of the pulley on the main shaft
tail_pulley_mm = 5              # diameter of the pulley at the tail; the tail turns drive / tail times as fast
# drive_pulley_at_mm = [0, 0, -22] # (may go: at the shaft's hook) where it sits; `check` alone asks how the cord bends the stick
cord_tension_mN = 300           # (may go) how hard the cord is set, standing still
cord_friction = 0.3             # (may go) of cord on pulley
cord_wrap_deg = 180             # (may go) how far round the small pulley it lies
friction_mN_m = 0.005           # (may go) drag of the tail's bearing
loss_percent = 5                # (may go) share of the power that the cord eats
# skein: (drive = "skein") the tail's own rubber, a table [tail.skein] with the entries of [skein]
"""


def new_files(name: str) -> dict[str, str]:
    """File names and texts of a new craft and its first scenario; both load as they are.

    name   : letters, digits, "-" and "_"; also the name of the files
    Returns: {"NAME.toml": craft, "NAME-first-flight.toml": scenario}, to be put into one folder
    Raises : BadInput for a name that makes no plain file name
    """
    if not re.fullmatch(r"[A-Za-z0-9][A-Za-z0-9_-]{0,59}", name):
        raise BadInput(f"new: name: letters, digits, - and _ only, beginning with a letter or digit, found {name!r}")
    texts = {f"{name}.toml": CRAFT, f"{name}-first-flight.toml": SCENARIO}
    return {file: text.replace("CAUTIONS", as_comment()).replace("NAME", name) for file, text in texts.items()}
