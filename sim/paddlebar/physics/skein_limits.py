"""How many turns a rubber skein takes."""

from __future__ import annotations

import math


def breaking_turns(length_m: float, section_m2: float, constant: float) -> float:
    """Turns at which a skein breaks, N = K L / sqrt(S).

    length_m   : made-up length L of the skein, not stretched [m], > 0
    section_m2 : section S of all strands together [m2], > 0
    constant   : K [1]; 10.64 measured on good strip, good rubber 9 to 13, default of the files 10
    Returns    : breaking turns [1]; sensible winding stops at 80-85 % of them
    Holds for  : fresh lubricated rubber, strands side by side; batch, heat, pre-stretch, winding speed and age move K
    Source     : G. Hinze, rubber motor turns formula, endlesslift.com (references.md 6.1, mark [A]: the author's page
                 read); K has no dimension, so the formula holds in any units
    Checked    : the page's worked example, 17 in loop of 2 strands .083 x .042 in -> 2166 turns
                 (tests/reference/test_rubber.py, tests/files/test_scenario.py)
    """
    return constant * length_m / math.sqrt(section_m2)
