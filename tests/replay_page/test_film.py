"""A film, for those who want a file."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest
from PIL import Image

from paddlebar.errors import BadInput
from paddlebar.replay_page import film
from paddlebar.replay_page.film import check_film, film_times, save_film
from told import Told


def test_a_gif_shows_the_stretch_asked_for(recorded, tmp_path: Path):
    path = tmp_path / "bar.gif"
    told = Told()
    save_film([recorded(), recorded("clockwise")], ["a", "b"], path, first=0.2, last=0.3, speed=0.5, progress=told)
    with Image.open(path) as picture:
        assert (
            getattr(picture, "n_frames", 1) == told.expected == len(told.steps) == 5
        )  # a fifth of a second at 20 pictures a second, both ends
        colours = picture.convert("RGB").getcolors(100_000)
    assert colours is not None
    assert len(colours) > 20


@pytest.mark.skipif(not film.animation.FFMpegWriter.isAvailable(), reason="ffmpeg is not installed")
def test_an_mp4_is_one(recorded, tmp_path: Path):
    path = tmp_path / "bar.mp4"
    save_film([recorded()], ["a"], path, first=0.2, last=0.3)
    assert path.read_bytes()[4:8] == b"ftyp"


def test_an_mp4_without_ffmpeg_offers_a_gif(monkeypatch):
    monkeypatch.setattr(film.animation.FFMpegWriter, "isAvailable", classmethod(lambda cls: False))
    with pytest.raises(BadInput, match=r"needs ffmpeg.*\.gif"):
        check_film(Path("x.mp4"))
    check_film(Path("x.gif"))


@pytest.mark.parametrize(("first", "comes"), [(KeyboardInterrupt(), KeyboardInterrupt), (BrokenPipeError(), OSError)])
def test_what_ends_ffmpeg_is_told_plainly(recorded, tmp_path: Path, monkeypatch, first, comes):
    """Ctrl-C reaches ffmpeg too; it then fails, and the writer complains of that instead."""

    def fail(*_: object, **__: object) -> None:
        raise first

    def complain(*_: object) -> None:
        raise subprocess.CalledProcessError(255, ["ffmpeg"])

    monkeypatch.setattr(film.animation.PillowWriter, "grab_frame", fail)
    monkeypatch.setattr(film.animation.PillowWriter, "finish", complain)
    with pytest.raises(comes) as raised:
        save_film([recorded()], ["a"], tmp_path / "x.gif", first=0.2, last=0.3)
    assert not isinstance(raised.value, BrokenPipeError)  # to the command line that is a reader who went away


def test_other_films_and_endless_ones_are_refused(recorded, tmp_path: Path):
    with pytest.raises(BadInput, match=r"should end in \.mp4 or \.gif, found 'x\.avi'"):
        check_film(Path("x.avi"))
    with pytest.raises(BadInput, match="at most 6000"):
        film_times(0.0, 60.0, 0.01, 25)
    with pytest.raises(BadInput, match="nothing from 5 s on"):
        save_film([recorded()], ["a"], tmp_path / "x.gif", first=5.0)
    assert list(tmp_path.iterdir()) == []


def test_from_python_a_film_and_an_animation(recorded, tmp_path: Path):
    """Whole or not at all; the animation makes as many pictures as the stretch has."""
    import paddlebar

    path = paddlebar.film(recorded(), tmp_path / "bar.gif", start=0.2, stop=0.25, speed=0.5)
    assert path.read_bytes().startswith(b"GIF8")
    assert [each.name for each in tmp_path.iterdir()] == ["bar.gif"]
    moving = paddlebar.animate(recorded(), start=0.2, stop=0.25, speed=0.5, fps=40)
    assert moving.to_jshtml().count("data:image/png") == 5  # a tenth of a second at 40 a second, both ends
    with pytest.raises(BadInput, match=r"^start, stop: the flight lasts"):
        paddlebar.film(recorded(), tmp_path / "x.gif", start=99.0)
    with pytest.raises(BadInput, match=r"^path: should end in \.mp4 or \.gif"):
        paddlebar.film(recorded(), tmp_path / "x.avi")
    assert not (tmp_path / "x.gif").exists()
