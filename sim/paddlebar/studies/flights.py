"""Many flights into a file: a study whose inputs are what was drawn and whose outputs are what each flight came to.

It is kept as every study is (store.py): what is finished survives the end of the program, the same call goes on, and a file of something
else is refused. What is changed from flight to flight becomes columns, one a number, so that a row of inputs is the whole draw: the workers
fly from rows, and so can whoever reads the file. A text that differs (a section, say) is a number, and its meaning stands beside it.
"""

from __future__ import annotations

import hashlib
import json
import math
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import Executor
from contextlib import ExitStack
from dataclasses import fields
from functools import partial
from os import PathLike
from pathlib import Path
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from paddlebar.ensemble.many import LOST, MOST_HANDED_OUT, Brief, block_of, fly_brief, wait_only
from paddlebar.ensemble.pool import Pool, cores
from paddlebar.ensemble.samples import Item
from paddlebar.errors import BadInput
from paddlebar.files.scenario import Scenario
from paddlebar.flight.endings import Outcome
from paddlebar.flight.figures import BY_NAME
from paddlebar.progress import SILENT, Progress
from paddlebar.studies.axes import open_text
from paddlebar.studies.draws import Column, Plan, Rows, flags, looked_over
from paddlebar.studies.kept_flights import KIND, KeptFlights
from paddlebar.studies.runner import Outcome as Row
from paddlebar.studies.runner import complete
from paddlebar.studies.session import identity
from paddlebar.studies.store import Study

Array = NDArray[np.float64]

OUTCOMES: Final = tuple(Outcome)
FAILED: Final = OUTCOMES.index(Outcome.FAILED)
_NO_FIGURES: Final = ("outcome", "sentence", "events", "samples", "faults")
FIGURES: Final = tuple(field.name for field in fields(Brief) if field.name not in _NO_FIGURES)
_WORDS: Final = {
    "final_height_m": "height at the end",
    "north_m": "place at the end, north of the launch",
    "east_m": "place at the end, east of the launch",
    "tipped_at_s": "when it tipped over",
    "energy_let_out_j": "energy let out by the skein",
    "evaluations": "evaluations of the equations",
    "graded_s": "time in control, graded for searches",
    "flew_well": "flew well: no fault that matters (1) or not (0)",
}


def fly_row(index: int, row: Array, *, plan: Plan) -> Row:
    """Worker: the figures of one flight, in the order of FIGURES, and its outcome's place in OUTCOMES."""
    brief = fly_brief(partial(plan.scenario, row))
    return figures_of(brief), OUTCOMES.index(Outcome(brief.outcome))


def figures_of(brief: Brief) -> Array:
    """(len(FIGURES),)"""
    return np.array([float(getattr(brief, name)) for name in FIGURES])


def fly_into(
    file: str | PathLike[str],
    items: Sequence[Item],
    *,
    workers: int | None = None,
    executor: Executor | None = None,
    progress: Progress = SILENT,
    told: Callable[[int, str], None] | None = None,
) -> KeptFlights:
    """Fly what a file does not hold yet, see api.fly_many.

    told   : of the first flight that failed, with its place and why
    Raises : BadInput for a file of something else, one in use, draws that no column holds; NoSuchKey
    """
    columns, bases, read = looked_over(items)
    plan = Plan(tuple(open_text(scenario) for scenario in bases.values()), columns)
    count = workers or cores()
    with ExitStack() as stack:
        of = _identity(plan, bases, read)
        study = stack.enter_context(Study.open(file, of, [c.name for c in columns], FIGURES, told=_told(columns)))
        rows = Rows(items, columns, {base: k for k, base in enumerate(bases)})
        _agree(study, rows)
        left = sum(not study.has(k) for k in rows)
        progress.start(left)
        failures: list[int] = []

        def words(index: int, row: Row) -> str:
            if row[1] == FAILED and told is not None and not failures:
                failures.append(index)
                told(index, _why(plan, rows[index], row))
            return OUTCOMES[row[1]].value

        hand = partial(
            complete, study, rows, partial(fly_row, plan=plan), workers=count, progress=progress, what=words,
            size=block_of(left, count), lost=_lost,
        )  # fmt: skip
        if executor is not None:
            hand(executor, most=max(4 * count, MOST_HANDED_OUT), drop=wait_only)
        elif count > 1 and left > 1:
            pool = stack.enter_context(Pool(min(count, left)))
            hand(pool.executor, anew=pool.renewed, drop=pool.drop)
        else:
            hand(None)
    return KeptFlights(Path(file))


def _lost(_index: int) -> Row:
    row = figures_of(Brief(outcome="failed", sentence=LOST))
    row[FIGURES.index("evaluations")] = math.nan
    return row, FAILED


def _why(plan: Plan, row: Sequence[float], found: Row) -> str:
    """Why a flight failed: it is flown once more, but not one that took its process with it."""
    if math.isnan(found[0][FIGURES.index("evaluations")]):
        return LOST
    return fly_brief(partial(plan.scenario, row)).sentence


def _agree(study: Study, rows: Rows) -> None:
    """Refuse a file whose finished flights are not those that are asked for."""
    for index, inputs in study.inputs_of_file():
        for k, row in zip(index.tolist(), inputs, strict=True):
            if k < len(rows) and not np.array_equal(row, rows[k], equal_nan=True):
                raise BadInput(
                    f"{study.path}: holds other flights: flight {k} was drawn otherwise; choose another file, or remove it to begin anew"
                )


def _identity(plan: Plan, bases: Mapping[str, Scenario], read: Sequence[str]) -> dict[str, str]:
    if not bases:
        raise BadInput("file: there is no flight to fly")
    return {
        **identity(plan.texts[0]),
        "kind": KIND,
        "further scenarios": " ".join(hashlib.sha256(text.encode()).hexdigest() for text in plan.texts[1:]),
        "choice of draws": json.dumps([[c.key, c.place, c.kind, c.texts] for c in plan.columns]),
        "set of files in draws": " ".join(read),
    }


def _told(columns: Sequence[Column]) -> dict[str, dict[str, Any]]:
    words = {name: {"long_name": BY_NAME[name].words if name in BY_NAME else _WORDS[name]} for name in FIGURES}
    ending = {"long_name": "how the flight went", **flags([o.value for o in OUTCOMES], np.int64)}
    return {"ending": ending, **words, **{c.name: c.told for c in columns}}
