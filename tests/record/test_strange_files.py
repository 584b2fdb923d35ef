"""Files that are no whole run file of ours are refused in one sentence that says what was found."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import h5py
import numpy as np
import pytest

from paddlebar.errors import NotARunFile
from paddlebar.flight.result import Flight
from paddlebar.record.read import read_run
from paddlebar.record.write import write_run

GROUP = "flight/0000"


@pytest.fixture
def run(tmp_path: Path, flight: Flight) -> Path:
    path = tmp_path / "run.h5"
    write_run(path, [flight])
    return path


def refusal(path: Path) -> str:
    with pytest.raises(NotARunFile) as caught:
        read_run(path)
    message = str(caught.value)
    assert message.startswith(f"{path}: ")
    assert "\n" not in message
    return message


def edit(path: Path, change: Callable[[h5py.File], object]) -> Path:
    with h5py.File(path, "r+") as file:
        change(file)
    return path


@pytest.mark.parametrize("share", [0.001, 0.1, 0.5, 0.9, 0.999])
def test_cut_off(run: Path, share: float) -> None:
    whole = run.read_bytes()
    run.write_bytes(whole[: int(share * len(whole))])
    assert "not a" in refusal(run)


@pytest.mark.parametrize("content", [b"", b"time,height\n0,1\n", b"\x00" * 5000])
def test_no_hdf5(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "notes.h5"
    path.write_bytes(content)
    assert "no HDF5 file" in refusal(path)


def test_missing_file_is_an_ordinary_error(tmp_path: Path) -> None:
    with pytest.raises(FileNotFoundError):
        read_run(tmp_path / "none.h5")


def test_hdf5_of_somebody_else(tmp_path: Path) -> None:
    path = tmp_path / "other.h5"
    with h5py.File(path, "w") as file:
        file["x"] = np.arange(3.0)
    assert "type ''" in refusal(path)
    edit(path, lambda file: file.attrs.update(filetype="somebody's"))
    assert "somebody's" in refusal(path)


def test_newer_format(run: Path) -> None:
    message = refusal(edit(run, lambda file: file.attrs.update(format=3)))
    assert "format 3" in message
    assert "reads up to 2" in message


@pytest.mark.parametrize("change", [lambda f: f.attrs.update(complete=False), lambda f: f.attrs.pop("complete")])
def test_never_completed(run: Path, change: Callable[[h5py.File], object]) -> None:
    assert "never completed" in refusal(edit(run, change))


def replaced(name: str, what: object) -> Callable[[h5py.File], None]:
    def change(file: h5py.File) -> None:
        group = file[GROUP]
        del group[name]
        if what is not None:
            group[name] = what

    return change


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (replaced("tilt", None), "tilt is missing"),
        (replaced("tilt", np.zeros(3)), "tilt has shape (3,)"),
        (replaced("tilt", np.zeros(3, dtype=np.int64)), "holds no floating-point numbers"),
        (replaced("tilt", h5py.ExternalLink("secret.h5", "/x")), "link to elsewhere"),
        (replaced("flap", h5py.ExternalLink("secret.h5", "/x")), "link to elsewhere"),
        (replaced("tilt", h5py.SoftLink("/flight/0000/height")), "link to elsewhere"),
        (replaced("ledger", h5py.ExternalLink("secret.h5", "/x")), "link to elsewhere"),
        (replaced("ledger", np.zeros(3)), "is no group"),
        (lambda f: f[GROUP]["ledger"].pop("skein"), "entries of the energy ledger are missing"),
        (lambda f: f[GROUP].attrs.update(summary="[1]"), "no JSON object"),
        (lambda f: f[GROUP].attrs.update(summary="{"), "damaged"),
        (lambda f: f[GROUP].attrs.update(summary="[" * 100_000), "damaged"),
        (lambda f: f[GROUP].attrs.update(summary=np.zeros(4)), "no single value"),
        (lambda f: f[GROUP].attrs.update(seed="x"), "no whole number"),
        (lambda f: f[GROUP].attrs.update(events='{"a": 1}'), "damaged"),
        (lambda f: f[GROUP].attrs.pop("craft_toml"), "craft_toml of /flight/0000 is missing"),
        (lambda f: f.attrs.update(flights=10**9), "counts 1000000000 flights"),
        (lambda f: f.attrs.update(flights=2), "0001 is missing"),
    ],
)
def test_parts_missing_or_strange(run: Path, change: Callable[[h5py.File], object], says: str) -> None:
    assert says in refusal(edit(run, change))


def test_a_link_out_of_the_file_is_not_even_looked_at(run: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The linked file is whole and fits; it is refused all the same."""
    other = run.with_name("other.h5")
    other.write_bytes(run.read_bytes())
    edit(run, replaced("flap", h5py.ExternalLink("other.h5", f"/{GROUP}/flap")))
    monkeypatch.chdir(run.parent)
    assert "link to elsewhere" in refusal(run)


def huge(name: str) -> Callable[[h5py.File], None]:
    def change(file: h5py.File) -> None:
        group = file[GROUP]
        del group[name]
        group.create_dataset(name, shape=(10**12,), chunks=(1024,), dtype="f8")

    return change


def test_a_huge_claim_is_refused_before_memory_is_asked_for(run: Path) -> None:
    assert "claims 8000000000000 bytes" in refusal(edit(run, huge("time")))


def test_one_small_dataset_under_a_thousand_names_is_refused(run: Path) -> None:
    def change(file: h5py.File) -> None:
        for index in range(1, 1000):
            file[f"flight/{index:04d}"] = file[GROUP]  # hard links: each name the same data
        file.attrs["flights"] = 1000

    assert "more than the file can hold" in refusal(edit(run, change))


def test_numbers_kept_in_another_file_are_refused(run: Path) -> None:
    n = read_run(run)[0].time.size
    elsewhere = run.with_name("numbers.bin")
    elsewhere.write_bytes(b"\0" * 8 * n)

    def change(file: h5py.File) -> None:
        group = file[GROUP]
        del group["tilt"]
        group.create_dataset("tilt", shape=(n,), dtype="f8", external=[(str(elsewhere), 0, 8 * n)])

    assert "in another file" in refusal(edit(run, change))


def test_virtual_datasets_are_refused(run: Path) -> None:
    n = read_run(run)[0].time.size
    layout = h5py.VirtualLayout(shape=(n,), dtype="f8")
    layout[:] = h5py.VirtualSource("other.h5", "x", shape=(n,))

    def change(file: h5py.File) -> None:
        group = file[GROUP]
        del group["tilt"]
        group.create_virtual_dataset("tilt", layout)

    assert "in another file" in refusal(edit(run, change))
