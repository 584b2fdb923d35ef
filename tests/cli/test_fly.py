"""``paddlebar fly``: table, files, JSON, exit codes."""

from __future__ import annotations

import re

import pytest

from cli.conftest import document, flat
from paddlebar.record.read import read_run

PICTURES = ["height", "plan", "yaw", "bar", "ledger"]
# design: keys that scripts rely on
KEYS = (
    *("outcome", "duration_s", "powered_s", "peak_height_m", "drift_m", "max_tilt_deg", "final_tilt_deg", "body_turns"),
    *("peak_body_rate_deg_s", "turns_used", "turns_left", "energy_error", "solver", "wall_s", "files"),
)


def test_a_flight_leaves_run_file_pictures_and_a_table(run, tmp_path):
    result = run("fly", "hop.toml", "--full")
    assert result.exit_code == 0
    folder = tmp_path / "flights" / "hop"
    assert sorted(p.name for p in folder.iterdir()) == sorted(["run.h5", *(f"{name}.png" for name in PICTURES)])
    flight = read_run(folder / "run.h5")[0]
    assert flight.outcome == "landed"
    assert result.stdout.startswith("a [short] hop: landed upright, in control all 0.2 s\n")
    assert re.search(rf"peak height +{flight.height.max():.2f} +m", result.stdout)
    assert f"written in flights/hop: run.h5, {', '.join(f'{name}.png' for name in PICTURES)}" in result.stdout
    assert result.stdout.splitlines()[-1] == "next: paddlebar replay flights/hop  # look at it"
    assert "not accounted for" in result.stdout
    assert "gives 6 kJ/kg from full wind, loses 30 % of the winding, breaks at 585 turns (constant 10)" in result.stdout
    assert "eye protection" in result.stdout
    assert result.stderr == ""


def test_json_is_one_document_with_the_promised_keys(run, tmp_path):
    result = run("fly", "hop.toml", "--json", "--out", "here")
    found = document(result)
    assert set(KEYS) <= set(found)
    assert set(found["solver"]) >= {"method", "rtol", "evaluations"}
    assert found["files"] == ["here/run.h5", *(f"here/{name}.png" for name in PICTURES)]
    assert all((tmp_path / file).is_file() for file in found["files"])
    assert found["wall_s"] > 0.0
    assert found["outcome"] == "landed"
    assert result.stderr == ""


def test_json_holds_the_flights_own_figures(run):
    found = document(run("fly", "hop.toml", "--json", "--no-pictures", "--out", "here"))
    flight = read_run("here/run.h5")[0]
    assert found["duration_s"] == flight.time[-1]
    assert found["peak_height_m"] == flight.height.max()
    assert found["files"] == ["here/run.h5"]
    assert found["rubber"]["energy_kJ_kg"] == 6.0
    assert found["rubber"]["loss_percent"] == 30.0
    assert found["rubber"]["breaking_turns"] == pytest.approx(10.0 * 0.21 / 12.9e-6**0.5)
    rest = sum(joules for entry, joules in found["ledger_j"].items() if entry != "skein")
    assert rest == pytest.approx(found["ledger_j"]["skein"], abs=1e-12)


def test_set_changes_scenario_and_craft(run):
    settings = ("--set", "launch.height_m=0.9", "--set", "craft.bar.gain=-0.25", "--set", "launch.height_m=0.41")
    assert run("fly", "hop.toml", "--no-pictures", "--out", "x", *settings).exit_code == 0
    effective = read_run("x/run.h5")[0].effective_toml
    assert "height_m = 0.41" in effective  # the last one counts
    assert "gain = -0.25" in effective


BADLY = {
    "touched ceiling": ("room.ceiling_m=0.8", "launch.push_m_s=[0, 0, 3]", "launch.height_m=0.6"),
    "touched wall": ("room.length_m=1.2", "room.width_m=1.2", "launch.push_m_s=[3, 0, 0]"),
    "tipped over": ("launch.tilt_deg=9.9", "run.tilt_limit_deg=10", "launch.push_m_s=[3, 0, 1]", "launch.height_m=2"),
}


@pytest.mark.parametrize("outcome", BADLY)
def test_a_flight_that_ended_badly_is_exit_code_1_with_all_files(run, outcome):
    settings = [word for setting in BADLY[outcome] for word in ("--set", setting)]
    result = run("fly", "hop.toml", "--json", "--no-pictures", "--out", "x", *settings)
    assert document(result)["outcome"] == outcome
    assert result.exit_code == 1
    assert read_run("x/run.h5")[0].outcome == outcome


def test_still_flying_is_no_failure(run):
    result = run("fly", "hop.toml", "--json", "--no-pictures", "--set", "run.duration_s=0.1")
    assert document(result)["outcome"] == "still flying"
    assert result.exit_code == 0


def test_a_flight_without_energy_still_makes_json(run):
    """Nothing let out: the ledger's residual over nothing is no number, hence null, not NaN."""
    result = run("fly", "hop.toml", "--json", "--no-pictures", "--set", "run.duration_s=0.05")
    assert "NaN" not in result.stdout
    assert "Infinity" not in result.stdout
    document(result)


def test_flying_again_replaces_all_and_leaves_no_picture_of_the_earlier_flight(run, tmp_path):
    run("fly", "hop.toml", "--out", "x", "--set", 'pictures.draw=["height", "plan"]')
    (tmp_path / "x" / "notes.txt").write_text("mine")
    run("fly", "hop.toml", "--out", "x", "--set", 'pictures.draw=["height"]', "--set", "launch.height_m=0.5")
    assert sorted(p.name for p in (tmp_path / "x").iterdir()) == ["height.png", "notes.txt", "run.h5"]
    assert "height_m = 0.5" in read_run("x/run.h5")[0].effective_toml


def test_pictures_that_are_not_ours_stay(run, tmp_path):
    """A folder without a run file is the user's own: his plan.png is not ours to take away."""
    (tmp_path / "plan.png").write_text("mine")
    assert run("fly", "hop.toml", "--out", ".", "--no-pictures").exit_code == 0
    assert (tmp_path / "plan.png").read_text() == "mine"


def test_a_run_file_is_flown_again_and_laid_beside_itself(run):
    run("fly", "hop.toml", "--no-pictures", "--out", "here")
    found = document(run("fly", "here/run.h5", "--json", "--no-pictures"))
    assert found["against_record"] == {"identical": True, "position_m": 0.0, "attitude_deg": 0.0}
    assert found["files"] == ["flights/here-again/run.h5"]
    shown = run("fly", "here/run.h5", "--no-pictures", "--out", "again")
    assert "against its record: the same, bit for bit" in shown.stdout
    changed = run("fly", "here/run.h5", "--no-pictures", "--out", "other", "--set", "skein.turns=100")
    assert "against its record" not in changed.stdout
    assert read_run("other/run.h5")[0].turns_left[0] == pytest.approx(100.0)


def test_the_error_is_told_on_request(run):
    found = document(run("fly", "hop.toml", "--json", "--no-pictures", "--error", "--out", "here"))
    error = found["error_estimate"]
    assert error["rtol"] == pytest.approx(0.01 * found["solver"]["rtol"])
    assert 0.0 < error["position_m"] < 1e-3
    assert error["outcome"] == found["outcome"]
    shown = run("fly", "hop.toml", "--no-pictures", "--error", "--out", "here")
    assert re.search(
        r"error, from the same flight at rtol 1e-0\d: at most [\d.e-]+ mm and [\d.e-]+ deg off", flat(shown.stdout)
    )


def test_what_is_no_run_file_is_refused(run, tmp_path):
    (tmp_path / "fake.h5").write_text("no HDF5")
    result = run("fly", "fake.h5")
    assert result.exit_code == 2
    assert "fake.h5: not a run file" in result.stderr
    missing = run("fly", "gone.h5")
    assert missing.exit_code == 2
    assert "gone.h5: is not there" in missing.stderr


def test_a_failed_flight_is_told_everywhere_and_kept(run, monkeypatch, tmp_path):
    """Exit code 1, the moment, the state and the solver's own words on the screen, in the document, in the file and on the page."""
    from paddlebar.flight import integrate, layout, stretch

    monkeypatch.setattr(stretch, "COMPILED", {})  # compiled steps ask nobody in Python
    whole = integrate.rhs.rhs

    def broken(t, y, params, tables, gusts, work):
        out = whole(t, y, params, tables, gusts, work)
        if t >= 0.2:
            out[layout.BAR_RATE] = float("nan")
        return out

    monkeypatch.setattr(integrate.rhs, "rhs", broken)
    higher = ("--set", "launch.height_m=0.6")
    shown = run("fly", "hop.toml", "--out", "here", "--error", *higher)
    assert shown.exit_code == 1
    assert (
        "a [short] hop: the computation failed Stopped at t = 0.2000 s: rate of the bar angle (rad/s) is no longer finite; kept up to there"
        in flat(shown.stdout)
    )
    assert re.search(
        r"solver DOP853, rtol 1e-04: \d+ evaluations, \d+ steps, \d+ tried in vain; it gave up at 0.2000 s: Required step",
        flat(shown.stdout),
    )
    assert "and that one failed" in flat(shown.stdout)
    assert "next: paddlebar report here" in shown.stdout
    found = document(run("fly", "hop.toml", "--json", "--no-pictures", "--out", "there", "--error", *higher))
    assert found["outcome"] == "failed"
    assert found["solver"]["failure"]["state"] == "bar_rate"
    assert found["solver"]["refused"] > 10
    kept = read_run("here/run.h5")[0]
    assert not kept.complete
    assert kept.time[-1] == pytest.approx(0.2, abs=1e-3)
    assert kept.solver["failure"] == found["solver"]["failure"]
    assert kept.solver["error_estimate"]["outcome"] == "failed"
    monkeypatch.setattr(integrate.rhs, "rhs", whole)
    assert run("report", "here", "--no-margins", "--out", "page.html").exit_code in (0, 1)
    page = (tmp_path / "page.html").read_text(encoding="utf-8")
    assert "it gave up at 0.2000 s" in page
    assert "rate of the bar angle" in page


def test_the_solver_is_accounted_for(run):
    found = document(run("fly", "hop.toml", "--json", "--no-pictures"))
    assert found["solver"].keys() >= {"method", "rtol", "max_step_s", "evaluations", "steps", "refused", "failure"}
    assert found["solver"]["failure"] is None
    assert found["seed"] == 1
    calm = run("fly", "hop.toml", "--no-pictures")
    assert "seed" not in calm.stdout
    gusty = run(
        "fly",
        "hop.toml",
        "--no-pictures",
        "--set",
        "air.turbulence=true",
        "--set",
        "air.wind_m_s=2",
        "--set",
        "air.seed=9",
    )
    assert "turbulence of seed 9 (air.seed)" in gusty.stdout


def test_builds_are_one_screen_one_table_and_no_run_file(run, tmp_path):
    result = run("fly", "hop.toml", "--builds", "3", "--seed", "2")
    lines = result.output.splitlines()
    assert lines[0].startswith("a [short] hop: ")
    assert "of 3 builds fly well (" in lines[0]
    assert lines[-1].startswith("next: ") or lines[-2].startswith("next: ")
    assert [file.name for file in (tmp_path / "flights" / "hop-builds").iterdir()] == ["builds.csv"]
    rows = (tmp_path / "flights" / "hop-builds" / "builds.csv").read_text(encoding="utf-8").splitlines()
    assert len(rows) == 4
    assert rows[0].startswith("build,outcome,flew_well,controlled_s,duration_s,")
    full = run("fly", "hop.toml", "--builds", "3", "--seed", "2", "--full").output
    assert "craft.rotor.blade_pitches_deg.2" in full


def test_builds_as_json_are_the_same_again(run):
    first, again, other = (
        document(run("fly", "hop.toml", "--builds", "4", "--seed", seed, "--json")) for seed in (5, 5, 6)
    )
    assert first == again
    assert first != other
    assert {
        "builds",
        "seed",
        "share_well",
        "duration_s",
        "controlled_s",
        "outcomes",
        "faults",
        "as_drawn",
        "worst",
        "tolerances",
    } <= set(first)
    assert first["duration_s"]["least"] <= first["duration_s"]["median"] <= first["duration_s"]["most"]


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--builds", "1"), "--builds: should be 2 to 10000, found 1"),
        (("--builds", "2", "--error"), "--error: is about one flight; leave it or --builds out"),
        (
            ("--set", "craft.rotor.blade_masses_g=[0.7]"),
            "rotor.blade_masses_g: should hold one mass for each of 2 blades, found 1",
        ),
    ],
)
def test_builds_and_blades_that_cannot_be(run, words, says):
    result = run("fly", "hop.toml", *words)
    assert result.exit_code == 2
    assert says in result.stderr
    assert len(result.stderr.splitlines()) == 1
