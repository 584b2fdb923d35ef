"""The one list of verbs: a verb stands in the file of its name, as the click command of its name."""

from __future__ import annotations

from typing import Final

# verb -> what it answers, as `paddlebar --help` lists it; in the order in which a builder meets them
VERBS: Final = {
    "new": "A craft file to fill in, a first flight, a form to measure by.",
    "check": "Would the craft hold, balance and lift? What is doubtful?",
    "stand": "Thrust, torque and power of the rotor on a whirl stand.",
    "fly": "One flight: how it went, its record and pictures.",
    "bench": "Sliders, and the flight that they give, on a page.",
    "advise": "At most three changes, each flown and found better.",
    "margins": "Does the bar hold the craft up, and how far may it move?",
    "map": "Two numbers against stability, the design marked in it.",
    "yaw": "Which pulleys and which tail keep the body from spinning?",
    "rank": "Which change helps most, which measure needs most care?",
    "improve": "A search of named numbers for a better craft, under limits.",
    "match": "What flights and bench readings tell of the craft.",
    "replay": "A page on which a flight can be watched, or a film.",
    "report": "One page: what flew, why, and what to change.",
    "examples": "Craft, flights, lessons that come with it, written out.",
    "help": "The pages of the manual.",
}
