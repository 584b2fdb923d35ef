"""How to fly it the first times: few turns first, one change at a time; what to look for, what to write down."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from paddlebar.checks.findings import Finding
from paddlebar.craft.motors import motor_of
from paddlebar.files.cautions import CAUTIONS
from paddlebar.files.craft import Craft
from paddlebar.files.kinds import BARS
from paddlebar.sheet.flow import Flow
from paddlebar.sheet.page import Page

# Columns of the table of flights, as a spreadsheet or ``match`` reads them; width on paper [mm].
RECORD: Final = {
    "turns": 14.0,
    "backed_off": 20.0,
    "duration_s": 19.0,
    "peak_height_m": 25.0,
    "body_turns": 20.0,
    "rotor_rpm": 19.0,
    "rpm_at_s": 17.0,
    "turns_left": 18.0,
    "change": 16.0,
    "remarks": 18.0,
}
MEANS: Final = {
    "turns": "wound in; count the winder's cranks times its gear",
    "backed_off": "let back after winding",
    "duration_s": "from letting go to touching",
    "peak_height_m": "against a pole, or the hall's height",
    "body_turns": "turns of the nose in the whole flight, to the right positive",
    "rotor_rpm": "from a slowed video or a counter, if you have one",
    "rpm_at_s": "how long after letting go that was",
    "turns_left": "count them out after landing",
    "change": "the one thing that differs from the flight before; typed in, as craft.bar.tip_mass_g=0.5",
    "remarks": "which way it leaned, circled, what touched",
}
BLANKS: Final = 22
GRAVE: Final = ("stop", "look")
# share of breaking turns, launch, the one thing that may be changed after it, what to look for; common practice, no source
STEPS: Final = (
    (0.0, "in the hand, no rubber", "hinges, links, cord", "The bar swings free and stays where it is put. Cord and pulleys run true."),
    (0.10, "held at arm's length", "pulley, cord, clearance", "The rotor turns the right way and pulls up, the tail pushes the right way, nothing rubs."),
    (0.15, "let go from knee height over grass or a mat", "weight fore and aft, left and right", "It sinks slowly and upright. Does it always lean to the same side? Move weight, then the next flight."),
    (0.25, "as before", "ratio or pitch of the tail rotor", "Which way does the nose turn, and how often? Aim for none."),
    (0.35, "let go from chest height, no push", "pitch of the blades", "It holds its height or climbs. Does a sway grow or die out? A sway that grows: not one turn more."),
    (0.50, "as before", "tip masses of the bar, lead", "As before, and the spin near the end: it may differ from that at the start."),
    (0.60, "as before", "only what the last three flights ask for", "Three flights alike before the next step."),
    (0.70, "as before", "nothing", "Height, drift, what it touches. Indoors: how far below the ceiling?"),
    (0.80, "as before", "nothing", "The last step: rubber of another batch may break here."),
)  # fmt: skip


def plan_pages(craft: Craft, findings: Sequence[Finding] = ()) -> list[Page]:
    """The plan, cautions first, then what the check found that is not fine; and a table to fill in."""
    flow = Flow("Test plan", craft.name)
    for words in CAUTIONS:
        flow.paragraph(words, bold=True)
    found = [[each.severity, each.sentence, each.advice] for each in findings if each.severity in GRAVE]
    if found:
        flow.heading("Before the first flight: what the check found")
        flow.table(["", "found", "what to do"], (14.0, 86.0, 86.0), found)
    flow.heading("Low first, one change at a time")
    flow.paragraph(
        "Fly in still air, over grass or a mat, nobody under or in front of it. Go to the next step only when three flights in a row were "
        "alike and upright. Change one thing at a time and write it down; if a change does not help, take it back before the next. "
        "After every hard landing weigh and look again: a bent wire is a change too."
    )
    breaking = motor_of(craft.skein).breaking
    rows = []
    for number, (share, launch, change, look) in enumerate(_steps(craft), start=1):
        rows.append([str(number), f"{share * breaking:.0f}", f"{100.0 * share:.0f} %", launch, change, look])
    heads = ["step", "turns", "of breaking", "launch", "change at most", "look for"]
    flow.table(heads, (11.0, 14.0, 19.0, 38.0, 40.0, 64.0), rows, sides=">>><<<")
    flow.heading("What to write down")
    flow.table(["column", "what goes into it"], (34.0, 152.0), [[key, words] for key, words in MEANS.items()])
    if craft.tail is not None and craft.tail.skein is not None:
        flow.paragraph(
            "The tail's own skein: wind it to the same share of its own breaking turns, and write its turns under remarks."
        )
    record = Flow("Flights", craft.name)
    record.paragraph(
        "One line a flight. Typed into a table with these heads (csv), it is what paddlebar match fits the program to. Leave empty "
        "what was not measured."
    )
    record.table(list(RECORD), list(RECORD.values()), [[""] * len(RECORD)] * BLANKS, row_mm=9.4)
    return [*flow.pages, *record.pages]


def _steps(craft: Craft) -> list[tuple[float, str, str, str]]:
    """The steps that mean something on this craft."""
    steps = list(STEPS)
    if not BARS[craft.bar.kind].tilts:
        steps[0] = (0.0, steps[0][1], "hinges, cord", "Hinges run free, cord and pulleys run true.")
        steps = [
            step if "tip masses" not in step[2] else (step[0], step[1], "pitch of the blades", step[3])
            for step in steps
        ]
    elif craft.bar.gain:
        way = "rises" if craft.bar.gain > 0.0 else "sinks"
        look = f"Lift arm 1 of the bar by hand: the leading edge of blade 1 {way}. The bar swings free, cord and pulleys run true."
        steps[0] = (0.0, steps[0][1], steps[0][2], look)
    if craft.tail is None:
        steps = [step if "tail" not in step[2] else (step[0], step[1], "fin or vanes", step[3]) for step in steps]
        steps[0] = (
            0.0,
            steps[0][1],
            steps[0][2].replace(", cord", ""),
            steps[0][3].replace(", cord and pulleys run true", ""),
        )
        steps[1] = (steps[1][0], steps[1][1], "clearance", "The rotor turns the right way and pulls up, nothing rubs.")
    return steps
