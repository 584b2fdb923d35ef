"""A picture for a dark page: the same drawing with every colour of style.py put to its counterpart."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, Final

from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.colors import to_hex, to_rgb
from matplotlib.figure import Figure

from paddlebar.pictures import style

PAPER: Final = "#14171C"
INK: Final = "#E9E9E9"

# light -> dark; what is in neither column stays (fields of colour, chosen to be read by their numbers)
TURNED: Final = {
    "#FFFFFF": PAPER,
    "#000000": "#F5F5F5",
    style.INK: INK,
    style.GRID: "#30353D",
    style.EVENT: "#9AA0A8",
    style.PALE: "#3A3F47",
    style.SILVER: "#5A6069",
    style.INDIGO: "#9C8FF0",
    style.WINE: "#E06AA8",
    style.GREEN: "#45B86B",
    style.PURPLE: "#D07ACB",
    style.OLIVE: "#BDBD5A",
    "#0000FF": "#7FB2FF",
}
_TURNED: Final = {to_hex(light).lower(): dark for light, dark in TURNED.items()}
_PLACES: Final = ("color", "facecolor", "edgecolor", "markeredgecolor", "markerfacecolor")


def dark(figure: Figure) -> Figure:
    """The same figure, recoloured in place."""
    figure.set_facecolor(PAPER)
    turn(figure.get_children())
    return figure


def suit(axes: Iterable[Axes]) -> None:
    """Colours that are read on axes of somebody else's, if these are dark."""
    for ax in axes:
        if sum(to_rgb(ax.get_facecolor())) < 1.5:
            turn([each for each in ax.get_children() if each is not ax.patch])


def turn(artists: Iterable[Artist]) -> None:
    """Put the colours of artists, and of all that they hold, to their counterparts."""
    for artist in artists:
        for place in _PLACES:
            read, write = getattr(artist, f"get_{place}", None), getattr(artist, f"set_{place}", None)
            if read is not None and write is not None:
                _turn(read(), write)
        if isinstance(artist, Axes):
            for side in (artist.xaxis, artist.yaxis):
                colours = {key: _counterpart(style.INK) for key in ("color", "labelcolor")}
                side.set_tick_params(**colours)
        turn(artist.get_children())


def _turn(found: Any, write: Any) -> None:
    if isinstance(found, str):
        if found.lower() not in ("none", "auto", "inherit"):
            write(_counterpart(found))
    elif len(found) == 0:
        return
    elif isinstance(found[0], float | int):
        write(_counterpart(found))
    else:  # of a collection, one each
        write([_counterpart(each) for each in found])


def _counterpart(colour: Any) -> Any:
    """Of one colour; its see-through stays."""
    turned = _TURNED.get(to_hex(colour).lower())
    if turned is None or (not isinstance(colour, str) and len(colour) == 4 and colour[3] == 0.0):
        return colour
    alpha = colour[3] if not isinstance(colour, str) and len(colour) == 4 else 1.0
    return (*to_rgb(turned), float(alpha))
