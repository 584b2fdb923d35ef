"""Base of all descriptions: unknown keys forbidden, no coercion, no nan, frozen; and the number types they share."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Annotated, Any, ClassVar, Self

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, GetCoreSchemaHandler, PrivateAttr
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

from paddlebar.errors import BadInput
from paddlebar.files.places import Places
from paddlebar.files.sentences import Problem, raise_first


class Strict(BaseModel):
    """A table of a file. "1" is not 1, true is not 1.0, nan is nothing; but 1 may stand where a number is wanted."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True, allow_inf_nan=False)

    needs: ClassVar[dict[str, tuple[str, ...]]] = {}
    """Keys that a kind needs, of a table that stays one class so that a change may name the kind alone."""
    picker: ClassVar[str] = "kind"
    """The key that picks among ``needs``."""
    ways: ClassVar[tuple[tuple[str, ...], ...]] = ()
    """Groups of keys of which a table gives exactly one."""

    def given(self, key: str) -> bool:
        """True when the file (or a change) wrote this key itself."""
        return key in self.model_fields_set


class Described(Strict):
    """A whole description (craft or scenario): also knows where each key was written, for errors found later."""

    _places: Places = PrivateAttr(default_factory=Places)
    _before: Any = PrivateAttr(default=None)
    _changed_in: tuple[str, ...] = PrivateAttr(default=())

    def located(self, places: Places) -> Self:
        """The same object, told where its keys stand."""
        self._places = places
        return self

    @property
    def places(self) -> Places:
        """Where the keys stand."""
        return self._places

    @property
    def before(self) -> Self | None:
        """What it was before the changes of a scenario and of --set, None if there were none."""
        before: Self | None = self._before
        return before

    def changed_from(self, before: Self, files: Iterable[str]) -> Self:
        """The same object, told what it was, and the files that changed it."""
        self._before, self._changed_in = before, tuple(sorted(files))
        return self

    def refuse(self, problems: Iterable[Problem]) -> None:
        """Raise BadInput for the most useful of these, if there is any; it names what changed the description, which was right before."""
        try:
            raise_first(problems, self._places)
        except BadInput as error:
            raise spoilt(error, self._changed_in) from None

    def bad(self, key: str, rule: str) -> BadInput:
        """The error (to be raised) that names file, line and key.

        key  : dotted key as in --set without a leading ``craft.``, e.g. "skein.turns", "part.stick.mass_g"
        rule : what is wrong and what was found, one line, e.g. "input should be at most 812 ..., found 900.0"
        """
        return BadInput(self._places.sentence(tuple(key.split(".")), rule))

    def effective_toml(self, leave_out: Iterable[str] = ()) -> str:
        """The full description, defaults filled in, as TOML text that loads to an equal object.

        leave_out : dotted keys that are not written, for a text whose defaults are to go on following other keys
        """
        import tomlkit  # noqa: PLC0415  only runs that write a file need it

        tables = self.model_dump(exclude_none=True)
        for key in leave_out:
            *path, last = key.split(".")
            table = tables
            for word in path:
                table = table.get(word, {})
            table.pop(last, None)
        return tomlkit.dumps(tables)

    def __eq__(self, other: object) -> bool:
        """Equal means the same values; where they were written does not matter."""
        return type(other) is type(self) and other.__dict__ == self.__dict__

    __hash__ = None  # type: ignore[assignment]


def spoilt(error: BadInput, files: tuple[str, ...]) -> BadInput:
    """An error in a description that was right by itself: says which files changed it, unless it names one of them already."""
    if not files or str(error).startswith(files):
        return error
    return type(error)(f"{error} (as changed by {' and '.join(files)})")


def _not_radians(value: float) -> float:
    # A whole turn is 6.2832 rad: a lead below that is hardly ever meant in degrees, and wrong by a factor of 57 if not.
    if value != 0.0 and abs(value) < 2.0 * math.pi + 0.01:
        raise PydanticCustomError("radians", "looks like radians, give degrees")
    return value


Mass = Annotated[float, Field(ge=0.0, le=500.0)]
Coordinate = Annotated[float, Field(ge=-2000.0, le=2000.0)]
Spot = tuple[Coordinate, Coordinate, Coordinate]  # forward, right, up, from the builder's datum [mm]
Length = Annotated[float, Field(ge=0.0, le=2000.0)]
Small = Annotated[float, Field(ge=0.0, le=50.0)]  # thicknesses and wire diameters [mm]
Chord = Annotated[float, Field(gt=0.0, le=500.0)]
Pitch = Annotated[float, Field(ge=-40.0, le=60.0)]  # blade angles [deg]
Twist = Annotated[float, Field(ge=-60.0, le=60.0)]
Lean = Annotated[float, Field(ge=-45.0, le=45.0)]  # of a shaft [deg]
Tilt = Annotated[float, Field(ge=-85.0, le=85.0)]  # of a bar or a teetering rotor [deg]
Stop = Annotated[float, Field(ge=1.0, le=85.0)]  # how far a hinge goes [deg]
Lead = Annotated[float, Field(ge=-360.0, le=360.0), AfterValidator(_not_radians)]
Heading = Annotated[float, Field(ge=-360.0, le=360.0)]
Share = Annotated[float, Field(ge=0.0, le=95.0)]  # percent
Friction = Annotated[float, Field(ge=0.0, le=1000.0)]  # mN m
Stiffness = Annotated[float, Field(ge=0.0, le=1e5)]  # mN m/rad
Damping = Annotated[float, Field(ge=0.0, le=1e3)]  # mN m s/rad
Turns = Annotated[float, Field(ge=0.0, le=1e5)]
Moment = Annotated[float, Field(ge=0.0, le=600.0)]  # of a flight [s]
Speed = Annotated[float, Field(ge=0.0, le=30.0)]  # of the wind [m/s]
Celsius = Annotated[float, Field(ge=-30.0, le=60.0)]


class SameAs:
    """The default of a key that follows another key of its table."""

    def __init__(self, key: str) -> None:
        self.key = key

    def __call__(self, data: dict[str, Any]) -> Any:
        """The other key's value; None where it is missing, which is told anyway (pydantic 2.12.0 asks even then)."""
        return data.get(self.key)


@dataclass(frozen=True)
class OneByOne:
    """Of a list that may be left out: a change may name single entries of it, by number from 1; the others are then as the mean.

    mean : key of the mean;  count : key of how many, "" for two
    """

    mean: str
    count: str = ""

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.with_info_before_validator_function(self._filled, handler(source))

    def _filled(self, value: Any, info: core_schema.ValidationInfo) -> Any:
        mean, count = info.data.get(self.mean), info.data.get(self.count, 2)
        if not isinstance(value, dict) or mean is None or not {*value} <= {str(n + 1) for n in range(count)}:
            return value
        return tuple(value.get(str(n + 1), mean) for n in range(count))
