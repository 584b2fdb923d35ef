"""Makes lead_map.csv and lead_map.png: the window of lead against tip mass for stability/crafts/still-ten.toml, by Floquet.

    PYTHONPATH=sim python tests/reference/make_lead_map.py        # a minute or two on two cores

Open still air, 195 turns left (half of 420 wound less 30 let back), the craft as its file has it but for lead and tip mass. It is a craft of the tests, so that the map stays when the fleet is tuned.
"""

from __future__ import annotations

from pathlib import Path

from paddlebar import load_scenario, stability_map
from paddlebar.cli.map import write_table
from paddlebar.pictures.map import draw_map

HERE = Path(__file__).parent
SCENARIO = HERE / "still-tilted.toml"
TURNS = {"skein.turns": 420.0, "skein.backed_off": 30.0}
X = ("craft.bar.lead_deg", 40.0, 160.0, 40)
Y = ("craft.bar.tip_mass_g", 0.1, 1.0, 40)


def main() -> None:
    scenario = load_scenario(SCENARIO, TURNS)
    found = stability_map(scenario, X, Y)
    write_table(found, HERE / "lead_map.csv")
    draw_map(found, scenario.craft.name).savefig(HERE / "lead_map.png", dpi=110)
    print(f"{found.growth.size} points in {found.wall_s:.0f} s")


if __name__ == "__main__":
    main()
