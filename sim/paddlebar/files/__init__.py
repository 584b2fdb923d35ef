"""Text to checked description. Knows files, names and units, but no physics."""

from paddlebar.files.craft import Craft
from paddlebar.files.load import load_craft, load_scenario, parse_craft, parse_scenario
from paddlebar.files.scenario import Scenario
from paddlebar.files.template import new_files
from paddlebar.units import to_si

__all__ = ["Craft", "Scenario", "load_craft", "load_scenario", "new_files", "parse_craft", "parse_scenario", "to_si"]
