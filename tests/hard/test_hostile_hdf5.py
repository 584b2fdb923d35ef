"""Run files and study files that are spoilt, foreign or made to do harm: read whole or refused in one line, with little memory and no other file.

They are read by another process under a limit of memory (hdf5_child.py), so that a crash of the library or a swollen one shows.
"""

from __future__ import annotations

import random
import subprocess
import sys
from collections.abc import Callable, Sequence
from pathlib import Path

import h5py
import numpy as np
import pytest

from hard.commands import ENVIRONMENT, PATIENCE_S
from paddlebar.record.read import read_run
from paddlebar.studies.store import Study

pytestmark = pytest.mark.skipif(not Path("/proc/self/statm").exists(), reason="needs a limit of memory")
CHILD = Path(__file__).with_name("hdf5_child.py")
GROUP = "flight/0000"
HUGE = 10**15
SECRET = b"nobody's business"


def read(kind: str, files: Sequence[Path]) -> list[str]:
    """What the child says of each file; refusals are one line that begins with the file's name."""
    done = subprocess.run(
        [sys.executable, str(CHILD), kind, *map(str, files)],
        env=ENVIRONMENT, capture_output=True, text=True, timeout=PATIENCE_S, check=False,
    )  # fmt: skip
    assert (done.returncode, done.stderr) == (0, ""), (
        f"{done.returncode} after {done.stdout[-300:]}: {done.stderr[-2000:]}"
    )
    lines = done.stdout.splitlines()
    assert len(lines) == len(files)
    for line, file in zip(lines, files, strict=True):
        assert line == "good" or line.startswith(f"refused {file}: "), line
        assert SECRET.decode() not in line
    return lines


@pytest.fixture(scope="module")
def study_file(tmp_path_factory) -> Path:
    path = tmp_path_factory.mktemp("study") / "study.h5"
    with Study.open(path, {"scenario": "text"}, ["a_mm"], ["c_s"]) as study:
        for k in range(200):
            study.add(k, [k], [0.5 * k])
    return path


@pytest.fixture(params=["run", "study"])
def good(request, run_file, study_file) -> tuple[str, bytes]:
    return request.param, (run_file if request.param == "run" else study_file).read_bytes()


def written(folder: Path, images: Sequence[bytes]) -> list[Path]:
    files = [folder / f"{k}.h5" for k in range(len(images))]
    for file, image in zip(files, images, strict=True):
        file.write_bytes(image)
    return files


def test_cut_off_at_every_fiftieth(tmp_path, good):
    kind, image = good
    said = read(kind, written(tmp_path, [image[: k * len(image) // 50] for k in range(50)]))
    assert "good" not in said
    assert read(kind, written(tmp_path, [image])) == ["good"]


def test_bytes_flipped(tmp_path, good):
    """Anywhere: numbers may come out otherwise, what holds them together is refused. HDF5 itself must not fall over either."""
    kind, image = good
    images = []
    for k in range(150):
        chance, spoilt = random.Random(k), bytearray(image)
        for _ in range(chance.choice((1, 1, 3, 20))):
            # half of them in the first kilobytes, where the layout stands
            spoilt[chance.randrange(len(spoilt) if chance.random() < 0.5 else 4096)] = chance.randrange(256)
        images.append(bytes(spoilt))
    said = read(kind, written(tmp_path, images))
    assert 0 < said.count("good") < len(said)


def test_pieces_moved_zeroed_and_noise(tmp_path, good):
    kind, image = good
    images = [random.Random(9).randbytes(n) for n in (1, 100, 100_000)] + [
        image[:8] + random.Random(k).randbytes(5000) for k in range(10)
    ]
    for k in range(40):
        chance, spoilt = random.Random(k), bytearray(image)
        at, size = chance.randrange(len(image)), chance.choice((8, 64, 512, 4096))
        piece = bytes(size) if k % 2 else spoilt[chance.randrange(len(image)) :][:size]
        spoilt[at : at + size] = piece
        images.append(bytes(spoilt))
    read(kind, written(tmp_path, images))


def without(name: str, put: Callable[[h5py.Group], object] = lambda group: None) -> Callable[[h5py.File], None]:
    """One dataset out, something else under its name."""

    def change(file: h5py.File) -> None:
        group = file[GROUP if GROUP in file else "study"]
        del group[name]
        put(group)

    return change


def bomb(name: str, shape: tuple[int, ...], dtype: str = "f8", **how: object) -> Callable[[h5py.File], None]:
    return without(name, lambda group: group.create_dataset(name, shape=shape, dtype=dtype, **how))


def zeros(name: str, shape: tuple[int, ...]) -> Callable[[h5py.File], None]:
    """A thousand megabytes of zeros that take one on the disk."""

    def put(group: h5py.Group) -> None:
        data = group.create_dataset(
            name, shape=shape, dtype="f8", chunks=(2_000_000, *shape[1:]), compression="gzip", compression_opts=9
        )
        packed = np.zeros((2_000_000, *shape[1:]))
        data[:2_000_000] = packed
        mask, raw = data.id.read_direct_chunk((0,) * len(shape))
        for k in range(1, shape[0] // 2_000_000):
            data.id.write_direct_chunk((k * 2_000_000, *(0,) * (len(shape) - 1)), raw, mask)

    return without(name, put)


def references(name: str) -> Callable[[h5py.File], None]:
    return without(name, lambda group: group.create_dataset(name, data=np.array([group.ref] * 3, dtype=h5py.ref_dtype)))


def outside(name: str) -> dict[str, Callable[[h5py.File], None]]:
    """Ways to make a file read another one."""

    def virtual(group: h5py.Group) -> None:
        layout = h5py.VirtualLayout(shape=(200,), dtype="f8")
        layout[:] = h5py.VirtualSource("secret.h5", "x", shape=(200,))
        group.create_virtual_dataset(name, layout)

    return {
        "external link": without(name, lambda group: group.__setitem__(name, h5py.ExternalLink("secret.h5", "/x"))),
        "soft link": without(name, lambda group: group.__setitem__(name, h5py.SoftLink("/elsewhere"))),
        "soft link in a ring": without(name, lambda group: group.__setitem__(name, h5py.SoftLink(f"{group.name}/{name}"))),
        "raw data elsewhere": without(name, lambda group: group.create_dataset(name, shape=(200,), dtype="f8", external=[("secret.bin", 0, 1600)])),
        "virtual": without(name, virtual),
    }  # fmt: skip


def harmful(name: str) -> dict[str, Callable[[h5py.File], None]]:
    return {
        "1e15 numbers": bomb(name, (HUGE,), chunks=(1024,)),
        "1e15 numbers, packed": bomb(name, (HUGE,), chunks=(1024,), compression="gzip"),
        "many dimensions": bomb(name, (10**4,) * 4, chunks=(1,) * 4),
        "a gigabyte of zeros": zeros(name, (130_000_000,)),
        "references": references(name),
        "texts": without(name, lambda group: group.create_dataset(name, data=np.array(["x"] * 200, dtype=object), dtype=h5py.string_dtype())),
        "tables": bomb(name, (200,), np.dtype([("a", "f8"), ("b", "i4")])),
        "bytes of any length": bomb(name, (200,), h5py.vlen_dtype(np.dtype("f8"))),
        "half numbers": bomb(name, (200,), "f2"),
        "complex numbers": bomb(name, (200,), "c16"),
        "nothing": without(name, lambda group: group.create_dataset(name, data=h5py.Empty("f8"))),
        "a group": without(name, lambda group: group.create_group(name)),
        "gone": without(name),
    }  # fmt: skip


def formats(number: object) -> Callable[[h5py.File], None]:
    return lambda file: file.attrs.__setitem__("format", number)


HEADS: dict[str, Callable[[h5py.File], None]] = {
    f"format {number!r}": formats(number) for number in (0, -1, 3, 10**6, 1.5, "1", "new", np.zeros(3), h5py.Empty("i8"))
} | {
    "filetype a number": lambda file: file.attrs.__setitem__("filetype", 3),
    "filetype another": lambda file: file.attrs.__setitem__("filetype", "somebody's"),
    "filetypes": lambda file: file.attrs.__setitem__("filetype", ["paddlebar run", "paddlebar study"]),
    "complete a list": lambda file: file.attrs.__setitem__("complete", np.array([True, True])),
    "complete a text": lambda file: file.attrs.__setitem__("complete", "no"),
    "no format": lambda file: file.attrs.pop("format"),
}  # fmt: skip


@pytest.mark.parametrize("kind", ["run", "study"])
def test_files_made_to_do_harm(tmp_path, run_file, study_file, monkeypatch, kind):
    """None is taken, none costs memory, and no secret beside it is opened (seen by its time of access, and by what is said)."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "secret.bin").write_bytes(SECRET * 200)
    with h5py.File("secret.h5", "w") as file:
        file["x"] = np.arange(200.0)
    source, columns = (run_file, ("time", "tilt")) if kind == "run" else (study_file, ("index", "a_mm", "c_s"))
    changes = dict(HEADS)
    for name in columns:
        changes |= {f"{name}: {what}": change for what, change in {**harmful(name), **outside(name)}.items()}
    files = written(tmp_path, [source.read_bytes()] * len(changes))
    for file, change in zip(files, changes.values(), strict=True):
        with h5py.File(file, "r+") as opened:
            change(opened)
    said = dict(zip(changes, read(kind, files), strict=True))
    assert {what: line for what, line in said.items() if line == "good"} == {}


@pytest.mark.parametrize("put", ["x", "", "[" * 3000])
def test_a_run_file_whose_description_is_none(tmp_path, run_file, monkeypatch, put):
    monkeypatch.chdir(tmp_path)
    assert (
        described(run_file, tmp_path, put) == "good" if put == "" else "refused" in described(run_file, tmp_path, put)
    )


@pytest.mark.parametrize("name", ["time", "position", "attitude", "height"])
def test_a_flight_without_a_beginning(tmp_path, run_file, name):
    path = tmp_path / "run.h5"
    path.write_bytes(run_file.read_bytes())
    with h5py.File(path, "r+") as file:
        file[GROUP][name][...] = np.nan
    assert "begins with no state" in read("run", [path])[0]


def test_a_time_that_runs_backwards(tmp_path, run_file):
    path = tmp_path / "run.h5"
    path.write_bytes(run_file.read_bytes())
    with h5py.File(path, "r+") as file:
        time = file[GROUP]["time"]
        time[...] = time[()][::-1]
    assert "does not run forward" in read("run", [path])[0]


def described(run_file: Path, tmp_path: Path, text: str) -> str:
    path = tmp_path / "run.h5"
    path.write_bytes(run_file.read_bytes())
    with h5py.File(path, "r+") as file:
        file[GROUP].attrs["effective_toml"] = text
    return read("run", [path])[0]


def test_a_run_file_whose_description_names_other_files(tmp_path, run_file):
    """Its craft and its curve stand in it; a name in their place would make `fly RUN` read what somebody else chose."""
    text = read_run(run_file)[0].effective_toml
    assert described(run_file, tmp_path, text) == "good"
    for put in ('craft = "../../somebody.toml"\n', '[change.bar]\ngain = 1\n[craft]\n', '[craft.skein]\nmeasured = "/etc/hostname"\n',
                '[craft.tail.skein]\nmeasured = "x.csv"\n'):  # fmt: skip
        assert "names another file" in described(run_file, tmp_path, put)
