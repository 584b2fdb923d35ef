"""The program with one force more, whose work is a row of the ledger: made from a copy of the source, and flown uncompiled.

As a program: python one_force_more.py FOLDER, with NUMBA_DISABLE_JIT=1 and the copy in PYTHONPATH; prints one JSON document.
"""

from __future__ import annotations

import json
import shutil
import sys
import time
from pathlib import Path
from typing import Any

import numpy as np

REPOSITORY = Path(__file__).parents[2]
PACKAGE = REPOSITORY / "sim" / "paddlebar"
LABEL, PART = "air: streamer", "streamer"

# File of flight/ -> what stands before, what is put there: a row with its constant, and a call with its work on that row.
MORE = {
    "layout.py": {
        "    # Last, because their number depends on the head": f'    work("air_streamer", "work done on the air by a streamer", Entry("{LABEL}", AIR, "{PART}", "streamer")),\n',
        "# The ledger's lines": 'AIR_STREAMER: Final[int] = _START["air_streamer"]\n',
    },
    "rhs.py": {
        "    AIR_TAIL,\n": "    AIR_STREAMER,\n",
        "    bodies.solve(": """\
    out[AIR_STREAMER] = 0.0  # a streamer at the datum that pulls with 0.04 N for each m/s
    for axis in range(3):
        work[bodies.BIAS, axis] += 0.04 * y[VELOCITY_BODY + axis]
        out[AIR_STREAMER] += 0.04 * y[VELOCITY_BODY + axis] ** 2
""",
    },
}
CHANGES: dict[str, Any] = {
    "skein.turns": 2.0, "skein.backed_off": 0.0, "launch.release": "free", "launch.hold_s": 0.0, "launch.rotor_rpm": 900.0,
    "launch.push_m_s": [1.5, 0.5, 0.5], "run.duration_s": 0.15, "run.blade_elements": 3, "run.rtol": 1e-7,
}  # fmt: skip


def copy_into(folder: Path) -> None:
    """The source with the force."""
    left_out = shutil.ignore_patterns("__pycache__", "replay_page", "report_page", "sheet")
    shutil.copytree(PACKAGE, folder / "paddlebar", ignore=left_out)
    for file, pieces in MORE.items():
        source = folder / "paddlebar" / "flight" / file
        text = source.read_text(encoding="utf-8")
        for before, more in pieces.items():
            assert text.count(before) == 1, (file, before)
            text = text.replace(before, more + before)
        source.write_text(text, encoding="utf-8")


def in_fixed_steps(scenario: Any, numbers: Any, steps: int = 50) -> np.ndarray:
    """State after steps of a millisecond by the classical Runge-Kutta method: no step control, which would make much of a rounding error."""
    from paddlebar.flight import launch, rhs

    y = launch.state(scenario, numbers)
    h, work = 1e-3, rhs.work_array()

    def rate(t: float, y: np.ndarray) -> np.ndarray:
        return np.asarray(rhs.rhs(t, y, numbers.params, numbers.tables, numbers.gusts, work))

    for k in range(steps):
        one = rate(k * h, y)
        two = rate((k + 0.5) * h, y + 0.5 * h * one)
        three = rate((k + 0.5) * h, y + 0.5 * h * two)
        four = rate((k + 1.0) * h, y + h * three)
        y = y + h / 6.0 * (one + 2.0 * two + 2.0 * three + four)
    return y


def answers(folder: Path) -> dict[str, Any]:
    """What each reader of the ledger says of a short flight; the run file is written into the folder."""
    import paddlebar
    from paddlebar.craft.build import Numbers, build
    from paddlebar.ensemble.many import _brief
    from paddlebar.ensemble.stepper import CompiledStepper
    from paddlebar.flight.fly import flight_of
    from paddlebar.flight.integrate import fly_track
    from paddlebar.pictures.ledger import draw_ledger
    from paddlebar.pictures.series import series
    from paddlebar.pictures.words import ledger_rows
    from paddlebar.pictures.yaw_study import draw_moments
    from paddlebar.record.read import read_run
    from paddlebar.record.write import write_run
    from paddlebar.studies import rundown

    assert Path(paddlebar.__file__).parents[1] == folder
    scenario = paddlebar.load_scenario(REPOSITORY / "scenarios" / "first-flight.toml", CHANGES)

    def numbers() -> Numbers:
        made = build(scenario)
        made.params = made.params.view(np.recarray)  # plain Python reads fields by name from a record array only
        return made

    track = fly_track(scenario, numbers())
    flight = flight_of(track, scenario, track.numbers, time.perf_counter())
    stepper = CompiledStepper(numbers(), scenario.run, 1)
    many = _brief(scenario, fly_track(scenario, stepper._numbers, lambda _numbers, _run: stepper), stepper, 0)
    run = rundown.RunDown.of(rundown.figures(track, track.numbers))
    shown = draw_moments(run)
    write_run(folder / "run.h5", [flight])
    totals = {entry: float(values[-1]) for entry, values in flight.ledger.items()}
    return {
        "in fixed steps": in_fixed_steps(scenario, numbers()).tolist(),
        "ends": [flight.sentence, many.sentence],
        "ledger": totals,
        "scipy's gap": flight.energy_error,
        "compiled gap": many.energy_error,
        "areas": [each.name for each in series(draw_ledger(flight))],
        "rows of the table": [row[0] for row in ledger_rows(totals)],
        "yaw": {name: float(np.nanmean(getattr(run, name))) for name in (*rundown.POWERS, "skein_power_mw")},
        "lines of the yaw study": [text.get_text() for ax in shown.axes for text in ax.texts],
        "run file": list(read_run(folder / "run.h5")[0].ledger),
    }


if __name__ == "__main__":
    print(json.dumps(answers(Path(sys.argv[1]))))
