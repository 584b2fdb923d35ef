"""``paddlebar yaw``: which pulleys and which tail keep the body from spinning."""

from __future__ import annotations

import math
from contextlib import nullcontext
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from paddlebar.cli.options import (
    data_option,
    json_option,
    out_option,
    overrides,
    pictures_option,
    print_json,
    settings_option,
    workers_option,
)

if TYPE_CHECKING:
    from paddlebar.files.scenario import Scenario
    from paddlebar.studies.yaw.study import Yaw

STUDY_FILE = "study.h5"
FEW = 6  # flights for which further processes are not worth their start

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


@click.command()
@click.argument("scenario", type=click.Path(path_type=Path))
@click.option(
    "--ratio", metavar="A:B:N", help="Tail turns for a rotor turn, N from A to B. [default: 9 around the craft's]"
)
@click.option("--pitch", metavar="DEG | A:B:N", help="Tail pitch. [default: the craft's and 3 deg either way]")
@click.option("--diameter", metavar="MM | A:B:N", help="Tail diameter. [default: the craft's]")
@workers_option("Flights")
@settings_option
@out_option(
    "Folder for study file and pictures; a study that was interrupted is gone on with. [default: flights/NAME-yaw]"
)
@data_option
@json_option
@pictures_option("Write the study file alone.")
@click.pass_context
def yaw(
    ctx: click.Context,
    scenario: Path,
    ratio: str | None,
    pitch: str | None,
    diameter: str | None,
    workers: int | None,
    settings: tuple[str, ...],
    out: Path | None,
    data: bool,
    as_json: bool,
    no_pictures: bool,
) -> None:
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
    from paddlebar import api
    from paddlebar.cli import tables
    from paddlebar.cli.outputs import check_folder
    from paddlebar.cli.progress import flying, progress
    from paddlebar.cli.stand import values
    from paddlebar.studies.runner import cores, processes
    from paddlebar.studies.yaw.study import is_still

    chosen = api.load_scenario(scenario, overrides(settings))
    axes = [
        None if text is None else values(f"--{name}", text)
        for name, text in (("ratio", ratio), ("pitch", pitch), ("diameter", diameter))
    ]
    folder = out or Path("flights") / f"{scenario.stem}-yaw"
    check_folder(folder)
    count = math.prod(n if axis is None else len(axis) for axis, n in zip(axes, (9, 3, 1), strict=True))
    many = min(workers or cores(), count)
    with progress(quiet=as_json) as bar, processes(many) if many > 1 and count > FEW else nullcontext() as pool:
        bar.step(flying())
        found = api.yaw(
            chosen, *axes, file=folder / STUDY_FILE, executor=pool, workers=many, start=bar.start, step=lambda: bar.step("flying run-downs")
        )  # fmt: skip
        files = [folder / STUDY_FILE, *([] if no_pictures else _draw(found, chosen, folder, data))]
    if as_json:
        print_json({**found.to_json(), "craft": chosen.craft.name, "files": [str(file) for file in files]})
    else:
        _show(found, chosen)
        tables.show_files(files)
        tables.show_cautions()
    ctx.exit(0 if is_still(found) else 1)


def _draw(found: Yaw, chosen: Scenario, folder: Path, data: bool) -> list[Path]:
    from paddlebar.cli.outputs import staged
    from paddlebar.pictures.yaw_study import save_pictures

    with staged(folder) as hidden:
        drawn = save_pictures(found, hidden, dpi=chosen.pictures.dpi, data=data)
    return [folder / file.name for file in drawn]


def _show(found: Yaw, chosen: Scenario) -> None:
    from paddlebar.cli import tables
    from paddlebar.pictures.yaw_study import own_place
    from paddlebar.studies.runner import failed_words

    tail = chosen.craft.tail
    assert tail is not None
    d, p = own_place(found)
    click.echo(
        f"{chosen.craft.name}, tail on a cord {tail.drive_pulley_mm:g} : {tail.tail_pulley_mm:g} mm = {found.own_ratio:.3g}, pitch {tail.pitch_deg:g} deg, "
        f"diameter {2 * tail.radius_mm:g} mm"
    )
    click.echo(
        f"run-downs at {found.pitches_deg[p]:g} deg and {found.diameters_mm[d]:g} mm, nose to the right positive, over the ground"
    )
    tables.show_stand(_rows(found, d, p, tail.tail_pulley_mm), COLUMNS)
    if found.pitches_deg.size * found.diameters_mm.size > 1:
        click.echo("ratio that balances on average (straight lines between those flown), and its drive pulley")
        for i, diameter in enumerate(found.diameters_mm):
            for j, pitch in enumerate(found.pitches_deg):
                root = float(found.balance_mean_ratio[i, j])
                says = (
                    f"{root:.2f}, {root * tail.tail_pulley_mm:.1f} mm"
                    if math.isfinite(root)
                    else "none of these ratios"
                )
                click.echo(f"  pitch {pitch:g} deg, diameter {diameter:g} mm: {says}")
    for line in [*sentences(found, tail.tail_pulley_mm), *failed_words(found.failed, found.flights)]:
        click.echo(line)


def sentences(found: Yaw, tail_pulley_mm: float) -> list[str]:
    """The answer in words."""
    b = found.balance

    def at(name: str, words: str) -> str:
        root = float(getattr(b, name))
        if not math.isfinite(root):
            return f"{words} none of these"
        return f"{words} {root:.2f} ({root * tail_pulley_mm:.1f} mm)" + (
            ", where it jumps from one sense to the other" if name in b.jumps else ""
        )

    lines = [
        "ratio that balances: "
        + "; ".join(
            at(n, w)
            for n, w in (
                ("full_wind", "at full wind"),
                ("mid_run", "at mid-run"),
                ("end", "late"),
                ("mean", "left and right cancel at"),
            )
        ),
        f"as built the nose drifts {found.own_drift_deg_s:.0f} deg/s on average, left or right"
        if math.isfinite(found.own_drift_deg_s)
        else "as built it does not get as far as the knee of the rubber: it tips over before, or lasts too long",
    ]
    if math.isfinite(b.best):
        lines += [
            f"least at ratio {b.best:.2f} ({b.best * tail_pulley_mm:.1f} mm): {b.best_drift_deg_s:.0f} deg/s; even there between "
            f"{found.residual_deg_s[1]:+.0f} and {found.residual_deg_s[0]:+.0f} deg/s along the run-down, which no single ratio cancels: {found.reason}",
            f"there at mid-run: tail thrust {found.tail_thrust_mn:.1f} mN ({100 * found.tail_thrust_mn / found.weight_mn:.0f} % of the weight), torque "
            f"over arm alone asks for {found.tail_thrust_closed_form_mn:.1f}; lean {found.hang_deg:.1f} deg to the left, atan(T/W) would be "
            f"{found.hang_closed_form_deg:.1f}; drift {float(found.best.side_m_s[10:14].mean()):+.2f} m/s to the right",
        ]  # fmt: skip
    return lines


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
