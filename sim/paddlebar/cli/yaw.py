"""``paddlebar yaw``: which pulleys and which tail keep the body from spinning."""

from __future__ import annotations

import math
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from paddlebar.cli import verb
from paddlebar.cli.progress import progress

if TYPE_CHECKING:
    from paddlebar.files.scenario import Scenario
    from paddlebar.studies.yaw.study import Yaw

STUDY_FILE = "study.h5"

# column -> head, format
COLUMNS: dict[str, tuple[str, str, float]] = {
    "ratio": ("ratio\n", ".2f", 1.0),
    "pulley_mm": ("drive\npulley mm", ".1f", 1.0),
    "mean": ("spin deg/s\nmean", "+.0f", 1.0),
    "full_wind": ("\nfull wind", "+.0f", 1.0),
    "mid_run": ("\nmid-run", "+.0f", 1.0),
    "end": ("\nlate", "+.0f", 1.0),
    "drift": ("left or right\nmean deg/s", ".0f", 1.0),
    "body": ("body\nturns", "+.1f", 1.0),
    "unwound": ("skein\nlet out", ".0f", 1.0),
    "over_ground": ("rotor over\nthe ground", ".0f", 1.0),
    "tail_share": ("tail takes\n%", ".1f", 100.0),
    "rose": ("rose\nm", ".1f", 1.0),
    "side": ("side drift\nm/s", "+.2f", 1.0),
    "circle": ("circle\nradius m", ".2f", 1.0),
}
BUILDERS = ("ratio", "pulley_mm", "drift", "mean", "full_wind", "mid_run", "end", "rose")


@click.command()
@verb.scenario_argument
@click.option(
    "--ratio", metavar="A:B:N", help="Tail turns for a rotor turn, N from A to B. [default: 9 around the craft's]"
)
@click.option("--pitch", metavar="DEG | A:B:N", help="Tail pitch. [default: the craft's and 3 deg either way]")
@click.option("--diameter", metavar="MM | A:B:N", help="Tail diameter. [default: the craft's]")
@verb.workers_option("Flights")
@verb.set_option
@verb.out_option(
    "Folder for study file and pictures; a study that was interrupted is gone on with. [default: flights/NAME-yaw]"
)
@verb.data_option
@verb.look_options
@verb.answer_options
@verb.pictures_option("Write the study file alone.")
def yaw(
    scenario: Path, ratio: str | None, pitch: str | None, diameter: str | None, workers: int | None, changes: dict[str, Any],
    out: Path | None, data: bool, pictures: bool,
) -> None:  # fmt: skip
    """Find the tail ratio of SCENARIO's craft that keeps its body from spinning, at full wind, at mid-run, late, and on average.

    Every point is a whole run-down of the skein, flown high up in still open air, down to the knee of the rubber: with the dying
    turns below it a craft sinks whatever its tail does. Spin is over the ground, nose to the right positive. Flights are kept as
    they are finished: the same command after an interruption flies only what is missing.

    Exit code: 0 the craft as built drifts less than 20 deg/s on average, 1 it drifts more or does not get there, 2 bad input.

    \b
    Example:
      paddlebar yaw scenarios/first-flight.toml
      paddlebar yaw scenarios/first-flight.toml --ratio 4:5:11 --pitch 10 --out flights/pulleys
      paddlebar yaw scenarios/first-flight.toml --set craft.tail.radius_mm=45 --json
    """
    import paddlebar
    from paddlebar.cli.ranges import values
    from paddlebar.ensemble.pool import cores
    from paddlebar.studies.yaw.study import is_still

    chosen = paddlebar.load_scenario(scenario, changes)
    axes = [
        None if text is None else values(f"--{name}", text)
        for name, text in (("ratio", ratio), ("pitch", pitch), ("diameter", diameter))
    ]
    folder = verb.folder_for(out, f"{scenario.stem}-yaw")
    with progress() as bar:
        bar.start(1)
        bar.step("flying")
        found = paddlebar.yaw(chosen, *axes, file=folder / STUDY_FILE, workers=workers or cores(), progress=bar)
        files = [
            folder / STUDY_FILE,
            *(_draw(found, chosen, folder, data) if pictures and flies_somewhere(found) else []),
        ]
    still = is_still(found)
    verb.answer(
        {**found.to_json(), "craft": chosen.craft.name},
        lambda full: verb.Screen(
            f"{chosen.craft.name}: {own_drift(found)}",
            lines(found, chosen, full),
            next_step(found, chosen, verb.as_typed(scenario, changes), still),
            more=not full,
        ),
        files,
        good=still,
    )


# code of an ending (studies/yaw/study.py) -> what is said where no drift of the craft as built is known
ENDED = {
    1: "as built it falls over before its rubber has run down: no spin to tune yet",
    2: "as built its rubber has not run down when the flight ends",
    3: "as built its flight failed numerically",
}


def own_drift(found: Yaw) -> str:
    """The answer for the craft as built."""
    from paddlebar.pictures.yaw_study import own_place

    if math.isfinite(found.own_drift_deg_s):
        return f"as built the nose drifts {found.own_drift_deg_s:.0f} deg/s on average, left or right"
    d, p = own_place(found)
    at = [
        int(each)
        for each, ratio in zip(found.ending[d, p], found.ratios, strict=True)
        if math.isclose(ratio, found.own_ratio)
    ]
    return ENDED.get(at[0] if at else 2, ENDED[2])


def flies_somewhere(found: Yaw) -> bool:
    """Does any craft of the study get as far as the knee of the rubber?"""
    return bool((found.ending == 0).any()) or math.isfinite(found.own_drift_deg_s)


def next_step(found: Yaw, chosen: Scenario, source: Path | str, still: bool) -> str:
    """The pulley that drifts least; or to see first that the craft stays up."""
    assert chosen.craft.tail is not None
    if still:
        return f"paddlebar fly {source}  # the pulleys can stay"
    if not math.isfinite(found.balance.best):
        return f"paddlebar advise {source}  # it must stay up before its tail can be tuned"
    pulley = found.balance.best * chosen.craft.tail.tail_pulley_mm
    return f"paddlebar fly {source} --set craft.tail.drive_pulley_mm={pulley:.1f}"


def _draw(found: Yaw, chosen: Scenario, folder: Path, data: bool) -> list[Path]:
    from paddlebar.cli.outputs import staged
    from paddlebar.pictures.yaw_study import save_pictures

    with staged(folder) as hidden:
        drawn = save_pictures(found, hidden, look=verb.look(chosen.pictures.dpi), data=data)
    return [folder / file.name for file in drawn]


def lines(found: Yaw, chosen: Scenario, full: bool) -> list[str]:
    """What the answer rests on."""
    from paddlebar.cli.screen import figures
    from paddlebar.pictures.yaw_study import own_place
    from paddlebar.studies.runner import failed_words

    tail = chosen.craft.tail
    assert tail is not None
    if not flies_somewhere(found):
        return [
            f"none of {found.flights} tails flown keeps it up as far as the knee of the rubber, so there is nothing to draw",
            *failed_words(found.failed, found.flights),
        ]
    d, p = own_place(found)
    out = [
        *sentences(found, tail.tail_pulley_mm, full),
        *failed_words(found.failed, found.flights),
        f"tail on a cord {tail.drive_pulley_mm:g} : {tail.tail_pulley_mm:g} mm = {found.own_ratio:.3g}, pitch {tail.pitch_deg:g} deg, "
        f"diameter {2 * tail.radius_mm:g} mm",
        f"run-downs at {found.pitches_deg[p]:g} deg and {found.diameters_mm[d]:g} mm, nose to the right positive, over the ground",
    ]
    out += figures(
        _rows(found, d, p, tail.tail_pulley_mm),
        COLUMNS if full else {name: COLUMNS[name] for name in BUILDERS},
        full=full,
    )
    if found.pitches_deg.size * found.diameters_mm.size > 1:
        out.append("ratio that balances on average (straight lines between those flown), and its drive pulley")
        for i, diameter in enumerate(found.diameters_mm):
            for j, pitch in enumerate(found.pitches_deg):
                root = float(found.balance_mean_ratio[i, j])
                says = (
                    f"{root:.2f}, {root * tail.tail_pulley_mm:.1f} mm"
                    if math.isfinite(root)
                    else "none of these ratios"
                )
                out.append(f"  pitch {pitch:g} deg, diameter {diameter:g} mm: {says}")
    return out


def sentences(found: Yaw, tail_pulley_mm: float, full: bool) -> list[str]:
    """Which ratios balance, in words; full : and why none does it throughout."""
    b = found.balance

    def at(name: str, words: str) -> str:
        root = float(getattr(b, name))
        if not math.isfinite(root):
            return f"{words} none of these"
        jumps = ", where it jumps from one sense to the other" if name in b.jumps else ""
        return f"{words} {root:.2f} ({root * tail_pulley_mm:.1f} mm){jumps}"

    wanted = (
        ("full_wind", "at full wind"),
        ("mid_run", "at mid-run"),
        ("end", "late"),
        ("mean", "left and right cancel at"),
    )
    out = [f"ratio that balances: {'; '.join(at(name, words) for name, words in wanted)}"]
    if not math.isfinite(b.best):
        return out
    least = (
        f"least at ratio {b.best:.2f} ({b.best * tail_pulley_mm:.1f} mm): {b.best_drift_deg_s:.0f} deg/s; even there between "
        f"{found.residual_deg_s[1]:+.0f} and {found.residual_deg_s[0]:+.0f} deg/s along the run-down"
    )
    if not full:
        return [least, *out]
    return [
        f"{least}, which no single ratio cancels: {found.reason}",
        *out,
        f"there at mid-run: tail thrust {found.tail_thrust_mn:.1f} mN ({100 * found.tail_thrust_mn / found.weight_mn:.0f} % of the weight), torque "
        f"over arm alone asks for {found.tail_thrust_closed_form_mn:.1f}; lean {found.hang_deg:.1f} deg to the left, atan(T/W) would be "
        f"{found.hang_closed_form_deg:.1f}; drift {float(found.best.side_m_s[10:14].mean()):+.2f} m/s to the right",
    ]


def _rows(found: Yaw, d: int, p: int, tail_pulley_mm: float) -> list[dict[str, Any]]:
    sources = {
        "mean": found.mean_spin_deg_s, "full_wind": found.spin_full_wind_deg_s, "mid_run": found.spin_mid_run_deg_s,
        "end": found.spin_end_deg_s, "drift": found.drift_deg_s, "body": found.body_turns, "unwound": found.turns_unwound,
        "over_ground": found.rotor_turns_over_ground, "tail_share": found.tail_power_share, "rose": found.rose_m,
        "side": found.side_drift_m_s, "circle": found.circle_radius_m,
    }  # fmt: skip
    return [
        {
            "ratio": float(r),
            "pulley_mm": float(r) * tail_pulley_mm,
            **{name: float(values[d, p, k]) for name, values in sources.items()},
        }
        for k, r in enumerate(found.ratios)
    ]
