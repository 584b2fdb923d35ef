"""What a page may say: numbers of controls and where they stand, never a key, a path or a text, but the name of a file to save and answers to the questions."""

from __future__ import annotations

from typing import Annotated, Final

from pydantic import BaseModel, ConfigDict, Field

LARGEST_B: Final = 20_000  # of a message; a hundred sliders take 2 kB
LARGEST: Final = 1e9

Index = Annotated[int, Field(ge=0, le=1000)]
Value = Annotated[float, Field(ge=-LARGEST, le=LARGEST, allow_inf_nan=False)]
Moved = Annotated[list[tuple[Index, Value]], Field(max_length=300)]


class Message(BaseModel):
    """Every message.

    page : which page speaks, made up by it;  number : counts its messages up: of two of a kind only the later one is answered
    taken : the advice that it stands on, 0 none;  moved : controls and where they stand
    """

    model_config = ConfigDict(extra="forbid", strict=False, frozen=True)

    page: Annotated[str, Field(pattern=r"^[0-9a-z]{4,24}$")]
    number: Annotated[int, Field(ge=0, le=10**9)]
    taken: Annotated[int, Field(ge=0, le=10**6)] = 0
    moved: Moved = []


class Fly(Message):
    """A flight; short : of a drag that goes on."""

    short: bool = False


class Share(Message):
    """A page without a server; first : the pinned design."""

    first_taken: Annotated[int, Field(ge=0, le=10**6)] = 0
    first_moved: Moved = []


class Save(Message):
    """Files; name : of the craft."""

    name: Annotated[str, Field(max_length=60)]


class Plane(Message):
    """A map over two controls."""

    x: Index
    y: Index


class Given(Message):
    """Answers of the first page by the seven keys, and a name; what is empty is left out."""

    answers: Annotated[
        dict[Annotated[str, Field(max_length=20)], Annotated[str, Field(max_length=60)]], Field(max_length=8)
    ] = {}
