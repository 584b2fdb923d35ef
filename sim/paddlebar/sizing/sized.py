"""Sizing: rules give some craft, flights choose among them, a search mends what is left. Only what flies is handed out."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import Executor, ThreadPoolExecutor
from dataclasses import dataclass, replace
from typing import Any, Final

import numpy as np
from scipy.optimize import brentq, differential_evolution

from paddlebar.craft.knob import Size
from paddlebar.craft.knobs import KNOBS
from paddlebar.craft.motors import motor_of
from paddlebar.ensemble.pool import cores
from paddlebar.errors import BadInput
from paddlebar.files.craft import Skein
from paddlebar.progress import SILENT, Progress, closes_progress
from paddlebar.sizing.answers import Answers, Known, Rubber, plain_default
from paddlebar.sizing.by_rules import by_rules
from paddlebar.sizing.flown import LEAST_S, Tried, craft_of, tried
from paddlebar.sizing.rules import Design, as_template, craft_values, flight_values, skein_g
from paddlebar.whirl_stand import hover_point

# Own choices, no source.
BLADES: Final = (
    (0.15, 9.0),
    (0.12, 8.0),
    (0.19, 10.0),
    (0.24, 11.5),
    (0.09, 7.0),
    (0.28, 13.5),
)  # chord over radius and pitch [deg]: broad and steep ones take more torque
BARS: Final = (
    (0.46, 1.0),
    (0.7, 1.5),
)  # gain, and tips over the template's: the second for craft that are light for their size
SOON_S: Final = 5.0  # in control for no longer: lost for want of a bar that holds it
SPARE: Final = 1.08  # torque of rubber that fits, over what a craft in the template's proportions takes to hover
FEWER, FEWEST = 0.9, 0.35  # turns of a craft that goes too high, step and share of the first
MOST_RUBBER: Final = 0.45  # of the weight
USUAL_RUBBER, SHORTEST = 0.3, 0.2  # of the weight; of the rotor across
HOPELESS: Final = 0.4  # of the torque that a craft in the template's proportions takes to hover
LONGER: Final = (1.5, 2.0)  # skeins that are tried after the usual one, in its lengths
STRIP_MM: Final = (1.5, 4.0)  # width of strip, 1 mm thick, that is cut to a tenth: common practice, no source
# what a search changes: of the design -> in the register, which says how far (its large change, either way)
CHANGED: Final = {
    "chord": "craft.rotor.chord_mm",
    "collective_deg": "craft.rotor.collective_deg",
    "drive_pulley_mm": "craft.tail.drive_pulley_mm",
    "tilt_right_deg": "craft.shaft.tilt_right_deg",
    "lead_deg": "craft.bar.lead_deg",
    "gain": "craft.bar.gain",
    "tips": "craft.bar.tip_mass_g",
    "nose_mm": "craft.part.NAME.at_mm.1",
}
CROWD, GENERATIONS = 2, 6


@dataclass(frozen=True)
class Sized:
    """A craft that flies.

    craft, flight : values of its files, for a TOML writer, the craft's path left out;  known : answers, filled in
    tried : how it flew;  flights : that it took
    """

    known: Known
    craft: Mapping[str, Any]
    flight: Mapping[str, Any]
    tried: Tried
    flights: int


@closes_progress
def size(answers: Answers, name: str = "sized", *, workers: int | None = None, progress: Progress = SILENT) -> Sized:
    """A craft that flies, sized from answers.

    answers : what is None is sized to the rest;  name : of the craft
    workers : flights at once; None: one a processor
    Raises  : BadInput, one line, for answers that cannot fly, with the nearest that do
    """
    with ThreadPoolExecutor(workers or cores()) as pool:
        known, search = filled_in(answers), _Search(pool, progress)
        gives, takes = _torques_if_any(known)
        hopeless = (
            gives < HOPELESS * takes
        )  # no proportions make up for rubber so weak: nothing need be flown to say so
        for each in [] if hopeless else [known, *_longer(answers, known)]:
            best = search.best(each)
            if best is not None and best.flies:
                return _sized(name, each, best, search.flights)
        raise BadInput(_cannot(answers, known, search, gives, takes))


def filled_in(answers: Answers) -> Known:
    """All answers: rubber that fits the rest where none was given. Raises BadInput where none does."""
    plain = {key: plain_default(answers, key) for key in Answers.model_fields if key != "rubber"}
    if answers.rubber is not None:
        return Known(**plain, rubber=Rubber.read(answers.rubber))
    found = _with_fitting_rubber(Known(**plain, rubber=Rubber(6, 2.0, 1.0)))
    return _with_fitting_rubber(_shorter(found)) if answers.rubber_mm is None else found


def torques(known: Known) -> tuple[float, float]:
    """What the skein gives half run down, and what a craft in the template's proportions takes to hover, tail and bearing included [N m].

    Raises : BadInput, ValueError where no such craft can be built
    """
    craft = craft_of(known, as_template(known))
    motor = motor_of(craft.skein)
    return motor.torque(0.35 * motor.breaking, -1.0), hover_point(craft).shaft_torque_nm


def _with_fitting_rubber(known: Known) -> Known:
    """Six strands, or as near as a strip of usual width allows."""
    _, takes = torques(replace(known, rubber=Rubber(2, 1.0, 1.0)))

    def over(log_section: float) -> float:
        motor = motor_of(
            Skein(
                strands=1,
                width_mm=math.exp(log_section),
                thickness_mm=1.0,
                length_mm=known.rubber_mm,
                hooks_mm=((0.0, 0.0, 0.0), (0.0, 0.0, -known.rubber_mm)),
            )
        )
        return math.log(motor.torque(0.35 * motor.breaking, -1.0) / (SPARE * takes))

    section = math.exp(float(brentq(over, math.log(0.1), math.log(49.0), xtol=1e-3)))
    strands = min(range(2, 41, 2), key=lambda each: (not STRIP_MM[0] <= section / each <= STRIP_MM[1], abs(each - 6)))
    rubber = Rubber(strands, max(round(section / strands, 1), 0.3), 1.0)
    return replace(known, rubber=rubber)


def _shorter(known: Known) -> Known:
    """With a skein no heavier than is usual: the torque is the same, and a light craft turns its rotor slowly."""
    most = USUAL_RUBBER * known.weight_g / skein_g(known.rubber, known.rubber_mm) * known.rubber_mm
    return replace(known, rubber_mm=float(round(max(min(known.rubber_mm, most), SHORTEST * known.rotor_mm))))


def _torques_if_any(known: Known) -> tuple[float, float]:
    """As torques(); nan both where no such craft can be built."""
    try:
        return torques(known)
    except (BadInput, ValueError):
        return math.nan, math.nan


def _longer(answers: Answers, known: Known) -> Iterator[Known]:
    """With longer skeins, where the builder left both to the program: a craft that is heavy for its size runs down too soon."""
    if answers.rubber is not None or answers.rubber_mm is not None:
        return
    for factor in LONGER:
        longer = _shorter(replace(known, rubber_mm=float(round(factor * known.rubber_mm))))
        if longer.rubber_mm > known.rubber_mm:
            yield _with_fitting_rubber(longer)


class _Search:
    def __init__(self, pool: Executor, progress: Progress) -> None:
        self.pool, self.progress, self.flights = pool, progress, 0

    def best(self, known: Known) -> Tried | None:
        """By rules with one kind of blade after the other, then by a search from the best of these; None where nothing can be built."""
        best: Tried | None = None
        self.progress.start(len(BLADES))
        for chord, collective in BLADES:
            self.progress.step("flying craft by rules")
            for gain, tips in BARS:
                found = self._by_rules(known, chord, collective, gain=gain, tips=tips)
                if found is not None and (best is None or found.rank > best.rank):
                    best = found
                if found is None or min(each.controlled_s for each in found.briefs) > SOON_S:
                    break  # whatever it lacks is not its bar
            if best is not None and best.good:
                return best
        return self._mended(known, best) if best is not None else None

    def _by_rules(self, known: Known, chord: float, collective: float, **bar: float) -> Tried | None:
        try:
            design, turns, _ = by_rules(known, chord, collective, **bar)
        except (BadInput, ValueError):
            return None
        return self._low_enough(known, design, turns)

    def _low_enough(self, known: Known, design: Design, turns: float) -> Tried | None:
        """With fewer turns where it goes too high."""
        best = found = self._fly(known, design, turns)
        while found is not None and best is not None and found.too_high and found.turns > FEWEST * turns:
            found = self._fly(known, design, float(math.floor(FEWER * found.turns)))
            best = found if found is not None and found.rank > best.rank else best
        return best

    def _mended(self, known: Known, best: Tried) -> Tried:
        """By scipy's differential evolution about the best by rules, until one is good."""
        start = best
        reach = [large(key) for key in CHANGED.values()]

        def cost(at: Sequence[float]) -> float:
            nonlocal best
            found = tried(known, moved(start.design, at), start.turns)
            if found is None:
                return 0.0
            if found.rank > best.rank:
                best = found
            return -found.score

        def over(intermediate_result: Any) -> bool:
            self.progress.step("flying changes")
            return best.good

        self.progress.start(GENERATIONS)
        found = differential_evolution(
            cost, [(-(each.share or each.plain), each.share or each.plain) for each in reach], x0=np.zeros(len(reach)), popsize=CROWD, maxiter=GENERATIONS,
            tol=0.0, polish=False, rng=1, updating="deferred", workers=self.pool.map, callback=over,
        )  # fmt: skip
        self.flights += 3 * int(found.nfev)
        return best

    def _fly(self, known: Known, design: Design, turns: float) -> Tried | None:
        self.flights += 3
        return tried(known, design, turns, self.pool.map)


def large(key: str) -> Size:
    """A large change of a number of the register: a share of it, or plain."""
    return next(knob.large for knob in KNOBS if knob.key == key and knob.large is not None)


def moved(d: Design, by: Sequence[float]) -> Design:
    """A design moved: by shares of its numbers where the register has shares, else by differences; in the order of CHANGED."""
    found = {}
    for (name, key), each in zip(CHANGED.items(), by, strict=True):
        own = getattr(d, name)
        found[name] = own * (1.0 + each) if large(key).share else own + each
    return replace(d, **found)


def _sized(name: str, known: Known, best: Tried, flights: int) -> Sized:
    return Sized(known, craft_values(name, known, best.design), flight_values(known, best.turns), best, flights)


def _cannot(answers: Answers, known: Known, search: _Search, gives: float, takes: float) -> str:
    """One line: why, and the nearest answers that were flown and fly; gives, takes : see _torques_if_any()."""
    share = skein_g(known.rubber, known.rubber_mm) / known.weight_g
    if share > MOST_RUBBER:
        why = f"weighs {100.0 * share:.0f} % of the craft"
    elif math.isnan(gives):
        why = "leaves too little weight for a craft"
    elif gives < takes:
        why = f"gives {1e3 * gives:.2g} mN m half run down where hovering takes {1e3 * takes:.2g}"
    else:
        why = f"would carry {known.weight_g:g} g on a rotor of {known.rotor_mm:g} mm, but nothing that was flown stayed in control for {LEAST_S:g} s"
    for key, other in _nearest(known, gives, takes):
        found = search.best(other)
        if found is not None and found.flies:
            return f"new: {key}: {known.rubber} of {known.rubber_mm:g} mm {why}; the nearest that flies: {_as_options(known, other)}"
    rest = (
        "another weight or another rotor is wanted"
        if answers.rubber is None
        else "leave the rubber out, and it is sized to the rest"
    )
    return f"new: weight: {known.weight_g:g} g on a rotor of {known.rotor_mm:g} mm with rubber {known.rubber} {why}, and nothing near it flies; {rest}"


def _nearest(known: Known, gives: float, takes: float) -> Iterator[tuple[str, Known]]:
    """Other rubber of the torque that fits, then other rubber and a weight as usual for the rotor."""
    if math.isfinite(gives):
        width = known.rubber.width_mm * (SPARE * takes / gives) ** (
            2.0 / 3.0
        )  # torque goes with section to the power 3/2, references 6.2
        yield "rubber", replace(known, rubber=replace(known.rubber, width_mm=max(round(width, 1), 0.3)))
    length = plain_default(Answers(rotor_mm=known.rotor_mm), "rubber_mm")
    usual = plain_default(Answers(rotor_mm=known.rotor_mm), "weight_g")
    for weight in (known.weight_g, round(math.sqrt(known.weight_g * usual), 1), usual):
        try:
            yield (
                "weight",
                _with_fitting_rubber(_shorter(_with_fitting_rubber(replace(known, weight_g=weight, rubber_mm=length)))),
            )
        except (BadInput, ValueError):
            continue


def _as_options(known: Known, other: Known) -> str:
    said = [f"--rubber {other.rubber}"]
    if other.rubber_mm != known.rubber_mm:
        said.append(f"--rubber-mm {other.rubber_mm:g}")
    if other.weight_g != known.weight_g:
        said.append(f"--weight-g {other.weight_g:g}")
    return " ".join(said)
