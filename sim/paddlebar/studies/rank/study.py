"""Rank: which change of a craft helps most, and which of its measures is worth the most care.

Two questions, two methods on the same flights. Slopes: one parameter at a time moved by its tolerance, both ways. Global indices: all of
them at once anywhere within their tolerances, and whose share of the spread is how large. The flight is the scenario's own, room, launch
and air included, computed until it ends; growth is that of a steady motion at half the turns, followed from the design's (stability/nearby.py).
"""

from __future__ import annotations

import time as clock
from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import Executor
from contextlib import suppress
from dataclasses import dataclass
from functools import partial
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft.one_by_one import one_by_one
from paddlebar.errors import BadInput
from paddlebar.files.scenario import Scenario
from paddlebar.flight.endings import WELL
from paddlebar.plain import of_fields
from paddlebar.progress import SILENT, Progress, closes_progress
from paddlebar.stability import nearby
from paddlebar.studies.axes import Axis, changed, open_text
from paddlebar.studies.rank.indices import Indices, indices
from paddlebar.studies.rank.outcomes import ENDINGS, FAILED, NAMES, OUTPUTS, evaluate, whole
from paddlebar.studies.rank.slopes import Slopes, slopes
from paddlebar.studies.rank.survey import FLYING, Survey, check_samples, count, rows, survey
from paddlebar.studies.session import Asked, identity, session
from paddlebar.studies.tolerances import build_of, chosen, usual

Array = NDArray[np.float64]

SAMPLES: Final = 64  # base samples: what two cores do within two minutes with the usual parameters
SCOUTS: Final = 8  # samples at which steady motions other than the design's are looked for beforehand, that no sample need search from rest


@dataclass(frozen=True)
class Advice:
    """The answer for one output.

    helps, to, gain : key whose change by its tolerance improves it most, the value to change it to, and by how much (positive); "" if
        none does. Changes after which the craft ends badly or is unstable are left out if it is not so as built; if it is, those after
        which it ends badly are left out as soon as one ends well
    measure, share  : key with the largest total index, and that index; "" without indices
    rivals          : keys whose intervals reach as high as the lower end of its own: the samples do not tell them apart
    """

    output: str
    helps: str
    to: float
    gain: float
    measure: str
    share: float
    rivals: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class Rank:
    """What `rank` found; d parameters, s outputs, n base samples.

    keys (d), own (d), tolerances (d) : dotted keys, values as built and tolerances, unit of the key
    outputs (s)     : names, unit at the end
    built (s), low (d, s), high (d, s) : as built; one parameter lower, or higher, by its tolerance; nan where there is no figure
    built_ending, low_ending (d), high_ending (d) : how these flights ended
    slopes, indices : see slopes.py, indices.py
    endings         : of the 2 n independent samples, ending -> how many;  unstable : of them with a disturbance that grows
    advice (s)      : one an output
    samples, seed   : n, of the samples;  flights : that the answer took;  flown : of them now, the others were in the study's file
    wall_s          : that it took now;  failed : flights that broke off numerically, whose figures count as missing
    """

    keys: tuple[str, ...]
    own: Array
    tolerances: Array
    outputs: tuple[str, ...]
    built: Array
    low: Array
    high: Array
    built_ending: str
    low_ending: tuple[str, ...]
    high_ending: tuple[str, ...]
    slopes: Slopes
    indices: Indices
    endings: dict[str, int]
    unstable: int
    advice: tuple[Advice, ...]
    samples: int
    seed: int
    flights: int
    flown: int
    wall_s: float
    failed: int = 0

    @property
    def sound(self) -> bool:
        """Does the craft as built end its flight well, with no disturbance that grows at mid-run?"""
        return is_sound(self.built_ending, self.built)

    @property
    def mended(self) -> list[str]:
        """Keys of which less or more by the tolerance makes a sound craft."""
        ends = zip(self.keys, self.low_ending, self.low, self.high_ending, self.high, strict=True)
        return [key for key, *two in ends if is_sound(two[0], two[1]) or is_sound(two[2], two[3])]

    def to_json(self) -> dict[str, Any]:
        """Plain data; None for nan."""
        return {**of_fields(self), "sound": self.sound}


def is_sound(ending: str, outputs: Array) -> bool:
    """A flight that ends well, of a craft that is stable at mid-run."""
    return ending in WELL and bool(outputs[NAMES.index("growth_per_s")] < 0.0)


@closes_progress
def rank(
    scenario: Scenario,
    keys: Mapping[str, float] | None = None,
    *,
    samples: int = SAMPLES,
    seed: int = 1,
    workers: int | None = None,
    executor: Executor | None = None,
    progress: Progress = SILENT,
    file: Asked = None,
) -> Rank:
    """Which change of a craft helps most, and which of its measures is worth the most care.

    scenario : from load_scenario; its own flight, room, launch and air included, is flown until it ends
    keys     : dotted key -> tolerance, in the unit of the key, the craft's under "craft."; None: the usual ones that the craft has
        (craft/knobs.py)
    samples  : base samples of the global part, a power of two, 0 for none; flights: 1 + 2 d + samples (d + 2) for d keys
    seed     : of the samples
    workers  : processes; None: one a processor, 1: none but this one. The answer is the same for any number
    executor : any concurrent.futures.Executor to use instead; it is not shut down
    progress : told start(steps), step(what), close()
    file     : study file, gone on with if it is there, more samples added to it; None: nothing is kept
    Returns  : Rank: arrays (keys, outputs) of values at both ends, slopes, first and total indices with intervals; nan where there are none
    Raises   : BadInput for keys that do not exist or hold no number, tolerances that the file would not allow, a study file of something else
    Note     : with several workers a program needs `if __name__ == "__main__":` about its own start
    Source   : see studies/rank/slopes.py, studies/rank/indices.py
    """
    start = clock.perf_counter()
    check_samples(samples)
    flown = whole(one_by_one(scenario))
    parameters = chosen(flown.effective_toml(), usual(scenario, "rank") if keys is None else keys)
    text = open_text(flown)  # a chord that is varied takes its tip along
    names = [p.key for p in parameters]
    choice = repr([(p.key, float(p.values[-1] - p.own)) for p in parameters])
    of = identity(text, study="rank", choice_of_parameters=choice)
    with session(of, names, NAMES, seed=seed, file=file, workers=workers, executor=executor, progress=progress) as here:
        lacking = here.study.missing(rows(parameters, samples, seed))
        progress.start(len(lacking) + 1)
        progress.step("finding steady flights")
        seeds = nearby.design(changed(text, {})).seeds if lacking else []
        others = nearby.scouted(_scouts(text, parameters, seed), seeds) if lacking else []
        worker = partial(evaluate, text=text, parameters=parameters, seeds=seeds, others=others)
        progress.step(FLYING)
        found = survey(here, parameters, samples, worker)
    indexed, bent = indices(found, seed), slopes(found)
    ended = [ENDINGS[code] for code in found.sample_codes.ravel()]
    grown = np.concatenate([found.a, found.b], axis=1)[NAMES.index("growth_per_s")]
    return Rank(
        keys=tuple(names),
        own=np.array([p.own for p in parameters]),
        tolerances=found.steps.max(axis=1),
        outputs=NAMES,
        built=found.built,
        low=found.low,
        high=found.high,
        built_ending=ENDINGS[found.built_code],
        low_ending=tuple(ENDINGS[code] for code in found.low_code),
        high_ending=tuple(ENDINGS[code] for code in found.high_code),
        slopes=bent,
        indices=indexed,
        endings={word: ended.count(word) for word in ENDINGS if word in ended},
        unstable=int((grown >= 0.0).sum()),
        advice=tuple(advise(found, indexed, [(p.key, p.values) for p in parameters])),
        samples=samples,
        seed=seed,
        flights=count(len(parameters), samples),
        flown=len(lacking),
        wall_s=clock.perf_counter() - start,
        failed=int((found.codes == ENDINGS.index(FAILED)).sum()),
    )


def _scouts(text: str, parameters: Sequence[Axis], seed: int) -> Iterator[Scenario]:
    """Where steady motions other than the design's are looked for: both ends of each parameter, and the first samples."""
    every = np.array(list(rows(parameters, SCOUTS, seed).values()))
    first = 1 + 2 * len(parameters)
    for values in np.concatenate([every[1:first], every[first :: len(parameters) + 2]]):
        with suppress(BadInput):  # both ends of each can be built, all at once perhaps not
            yield build_of(text, parameters, values)


def advise(found: Survey, indexed: Indices, parameters: list[tuple[str, Array]]) -> list[Advice]:
    """What helps most and what to measure, an answer an output."""
    wanted = is_sound(ENDINGS[found.built_code], found.built)
    sides = ((found.low, found.low_code, 0), (found.high, found.high_code, -1))
    ends = [
        (k, float(parameters[k][1][at]), values[k])
        for values, codes, at in sides
        for k in range(len(parameters))
        if is_sound(ENDINGS[int(codes[k])], values[k]) or not wanted
    ]
    # a longer fall is no improvement of a flight: where some build ends well, those that do not have no say
    well = [np.isin(codes, [ENDINGS.index(word) for word in WELL]) for codes in (found.low_code, found.high_code)]
    if not wanted and any(side.any() for side in well):
        ends = [end for end, fine in zip(ends, np.concatenate(well).tolist(), strict=True) if fine]
    answers = []
    for j, output in enumerate(OUTPUTS):
        gains = [float(output.worth(values[j]) - output.worth(found.built[j])) for _, _, values in ends]
        best = int(np.argmax(np.where(np.isfinite(gains), gains, -np.inf))) if gains else -1
        helps = best >= 0 and gains[best] > 0.0
        total, interval = indexed.total[:, j], indexed.total_interval[:, j]
        most = int(np.argmax(total)) if np.isfinite(total).all() and total.size else -1
        near = [k for k in range(total.size) if k != most and interval[k, 1] >= interval[most, 0]] if most >= 0 else []
        answers.append(
            Advice(
                output=output.name,
                helps=parameters[ends[best][0]][0] if helps else "",
                to=ends[best][1] if helps else float("nan"),
                gain=gains[best] if helps else float("nan"),
                measure=parameters[most][0] if most >= 0 else "",
                share=float(total[most]) if most >= 0 else float("nan"),
                rivals=tuple(parameters[k][0] for k in sorted(near, key=lambda k: -total[k])),
            )
        )
    return answers
