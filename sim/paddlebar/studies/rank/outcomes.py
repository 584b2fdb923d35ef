"""One build of a rank: flown and judged by the figures of the register (studies/figures.py)."""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft.build import build
from paddlebar.ensemble.many import fly_brief
from paddlebar.errors import BadInput
from paddlebar.files.scenario import Scenario
from paddlebar.flight import endings
from paddlebar.flight.aloft import LONGEST_S
from paddlebar.stability.equilibrium import Guess
from paddlebar.stability.nearby import near_design
from paddlebar.studies.axes import Axis
from paddlebar.studies.figures import EVERY, Seen, figures_of
from paddlebar.studies.rundown import lasting
from paddlebar.studies.tolerances import build_of

Array = NDArray[np.float64]

OUTPUTS: Final = figures_of("rank")
NAMES: Final = tuple(output.name for output in OUTPUTS)
FAILED: Final = endings.Outcome.FAILED.value  # numerically, whatever the reason
NOT_BUILT: Final = "not built"  # the file would not allow it, or it could not be launched
ENDINGS: Final = (*(outcome.value for outcome in endings.Outcome), NOT_BUILT)  # code -> what became of a build
SPARE: Final = (
    1.2  # over what the turns of the craft as built can last: those of another build may last longer; own choice
)


def whole(scenario: Scenario) -> Scenario:
    """The scenario's own flight, computed until it ends: its time limit raised to what the turns can last, not beyond tipping over."""
    longest = min(max(scenario.run.duration_s, SPARE * lasting(scenario)), LONGEST_S)
    run = scenario.run.model_copy(update={"duration_s": longest, "after_tipping": "stop"})
    return scenario.model_copy(update={"run": run})


def evaluate(
    index: int, inputs: Array, *, text: str, parameters: tuple[Axis, ...], seeds: list[Guess], others: list[Guess]
) -> tuple[Array, int]:
    """Worker of the study: builds, flies and judges one row.

    text, parameters : effective TOML, and what the inputs are;  seeds, others : steady motions of the design and near by, see stability/nearby.py
    Returns          : outputs in the order of OUTPUTS, nan where there are none or the flight failed numerically, and the code, a place in ENDINGS
    """
    nothing = np.full(len(OUTPUTS), math.nan), ENDINGS.index(NOT_BUILT)
    try:
        scenario = build_of(text, parameters, inputs)
    except BadInput:
        return nothing
    brief = fly_brief(scenario, every=EVERY)
    if not math.isfinite(brief.duration_s):
        return nothing
    if brief.broke_off:
        return nothing[0], ENDINGS.index(FAILED)
    seen = Seen(scenario, build(scenario), brief, near_design(scenario, seeds, others))
    return np.array([output.read(seen) for output in OUTPUTS]), ENDINGS.index(brief.outcome)
