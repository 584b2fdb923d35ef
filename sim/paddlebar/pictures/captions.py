"""What a picture shows, in a sentence made from what it shows. None is fixed: the same picture of another flight says another thing."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft.shape import arms_of, hand_of
from paddlebar.flight.judgement import LEAN
from paddlebar.flight.stretches import means
from paddlebar.pictures.bar import kept_words, windows
from paddlebar.pictures.data import TURN, drawable

if TYPE_CHECKING:
    from paddlebar.flight.result import Flight
    from paddlebar.record.read import RecordedFlight
    from paddlebar.stability.result import Margins
    from paddlebar.studies.rundown import RunDown

    AnyFlight = Flight | RecordedFlight

Array = NDArray[np.float64]

# Own choices, no source: what a builder would call so.
CHANGED: Final = 1.4  # times: a lean that changed by less neither grew nor died down
SMALL_DEG: Final = 3.0  # a lean below that is a lean of nothing
STRAIGHT: Final = 0.8  # way gained over way made: a straight line
ROUND: Final = 0.3  # below: round and round
CLOSES: Final = 1e-3  # of the energy let out, as README promises
HELD: Final = 0.9  # of the rotor's moment: a tail that holds it


def of_flight(name: str, flight: AnyFlight) -> str:
    """Of a picture of pictures/flight.PICTURES. Raises KeyError for another name, ValueError where nothing can be drawn."""
    return _FLIGHT[name](drawable(flight))


def _height(flight: AnyFlight) -> str:
    free = flight.time >= flight.released_s
    time, lean = flight.time[free], flight.tilt[free]
    if time.size < 4 or not time[-1] > time[0]:
        return "It was never let go, or not long enough to lean."
    half = time > 0.5 * (time[0] + time[-1])
    smooth = np.degrees(means(time, lean))
    first, second = float(smooth[~half].max()), float(smooth[half].max())
    says = f"After letting go it leaned {first:.0f} deg at most in the first half of its flight and {second:.0f} deg in the second: "
    if max(first, second) < SMALL_DEG:
        says += "hardly at all"
    elif second > CHANGED * first:
        says += "the lean grew"
    elif first > CHANGED * second:
        says += "the lean died down"
    else:
        says += "the lean neither grew nor died down"
    lost = np.flatnonzero(smooth > math.degrees(LEAN))
    return f"{says}, and at {time[lost[0]]:.1f} s it was out of control." if lost.size else f"{says}."


def _plan(flight: AnyFlight) -> str:
    free = flight.time >= flight.released_s
    place = flight.position_cg[free, :2]
    if len(place) < 2:
        return "It was never let go."
    gained = float(np.hypot(*(place[-1] - place[0])))
    made = float(np.hypot(*np.diff(place, axis=0).T).sum())
    span = float(flight.time[-1] - flight.time[free][0])
    says = f"It came {gained:.1f} m away on a path of {made:.1f} m, {made / span if span > 0.0 else 0.0:.1f} m/s on average: "
    if made < 0.5:
        return says + "it stood over its place."
    if gained > STRAIGHT * made:
        return says + "straight away, as a lean that stays, a push of the tail or wind make it."
    if gained < ROUND * made:
        return says + "round and round, as a craft goes that leans while its body turns."
    return says + "neither straight away nor round and round."


def _yaw(flight: AnyFlight) -> str:
    turned = float(flight.heading[-1] - flight.heading[0]) / TURN
    unwound = float(flight.turns_unwound[-1])
    way = "right" if turned >= 0.0 else "left"
    says = f"The body turned {abs(turned):.1f} times to the {way} while the skein let out {unwound:.0f} turns"
    if unwound < 1.0:
        return f"{says}."
    # a rotor that turns counter-clockwise drives the nose to the right
    share = hand_of(flight.scenario.craft.shaft) * turned / unwound
    if abs(share) < 0.02:
        return f"{says}: nearly all of them turned the rotor."
    if share > 0.0:
        return f"{says}: {share:.0%} of them turned the body against the rotor, not the rotor, and lifted nothing."
    return f"{says}: the body turned along with the rotor, held by more tail than it needs."


def _bar(flight: AnyFlight) -> str:
    if arms_of(flight.scenario.craft) is None:
        return "There is no bar to look at: only what body and blades do."
    part = windows(flight)[-1]
    words = kept_words(part)
    how = (
        "lies on the broad band"
        if "kept" in words
        else "leaves the broad band"
        if "dragged" in words
        else "tells little"
    )
    return f"From {part.start:.1f} s on {words}: the bar's line {how}."


def _ledger(flight: AnyFlight) -> str:
    error = flight.energy_error
    if not math.isfinite(error):
        return "The skein let out nothing."
    if error > CLOSES:
        return f"The areas miss the dashed line by {100.0 * error:.2g} % of what was let out: distrust this flight."
    return f"The areas reach the dashed line, what the rubber let out, to {100.0 * error:.2g} %."


_FLIGHT: Final[dict[str, Callable[[AnyFlight], str]]] = {
    "height": _height,
    "plan": _plan,
    "yaw": _yaw,
    "bar": _bar,
    "ledger": _ledger,
}


def of_margins(name: str, found: Margins) -> str:
    """Of a picture of pictures/margins.draw_all; "" for one that says all in its title."""
    return {"growth": _growth, "modes": _modes, "shapes": _shapes}.get(name, lambda _: "")(found)


def _growth(m: Margins) -> str:
    known = [p for p in m.along_rundown if math.isfinite(p.worst_growth_per_s)]
    if not known:
        return "No steady motion was found anywhere along the run-down."
    grows = [p for p in known if p.worst_growth_per_s >= 0.0]
    missing = len(m.along_rundown) - len(known)
    none = f"; at {missing} places none was found" if missing else ""
    if not grows:
        return f"Small disturbances die out at all {len(known)} places where a steady motion was found{none}."
    worst = max(grows, key=lambda p: p.worst_growth_per_s)
    return (
        f"A small disturbance grows at {len(grows)} of {len(known)} places, fastest with {worst.turns_left:.0f} turns left "
        f"({worst.worst_growth_per_s:+.2f} /s, double in {math.log(2.0) / max(worst.worst_growth_per_s, 1e-9):.2g} s){none}."
    )


def _modes(m: Margins) -> str:
    all_ = [(mode.growth_per_s, point.turns_left, mode.name) for point in m.along_rundown for mode in point.modes]
    growth, turns, name = max(all_)
    if growth < 0.0:
        return f"Nothing crosses the thick line; {name} comes nearest, {growth:+.2f} /s with {turns:.0f} turns left."
    return f"{name[:1].upper()}{name[1:]} crosses the thick line, {growth:+.2f} /s with {turns:.0f} turns left: it is what tips the craft over."


def _shapes(m: Margins) -> str:
    mode = m.modes[0]
    body, bar = (float(np.linalg.norm(z)) for z in (mode.body, mode.bar))
    if not m.margin_reasons:
        return f"Without a bar: in {mode.name} only body and disc lean."
    if body < 0.02:
        return f"In {mode.name} the bar moves and the body hardly."
    does = "it keeps its plane while the body leans" if bar < 0.5 * body else "it goes along with the body"
    return f"In {mode.name} the bar leans {bar / body:.2g} of what the body does: {does}."


def of_balance(run: RunDown) -> str:
    """Of pictures/yaw_study.draw_moments."""
    fine = np.isfinite(run.rotor_moment_mn_m) & np.isfinite(run.tail_moment_mn_m)
    if not fine.any():
        return "No part of the run-down was flown."
    rotor, tail = float(run.rotor_moment_mn_m[fine].mean()), float(run.tail_moment_mn_m[fine].mean())
    share = -tail / rotor if rotor else math.nan
    says = f"The rotor turns the body with {rotor:+.2f} mN m on average (right positive), the tail with {tail:+.2f}: "
    if not share > 0.0:
        return says + "the tail pushes with the rotor, not against it."
    if share < HELD:
        return says + f"it holds {share:.0%} of it."
    return says + ("they hold each other." if share <= 1.0 / HELD else f"it pushes {share:.0%} of that, too much.")
