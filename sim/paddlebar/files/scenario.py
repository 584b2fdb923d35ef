"""The scenario file: one flight of a craft. Values stay in file units; the words of a key stand with it, see ``craft``."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, Final, Literal

from pydantic import Field, PrivateAttr

from paddlebar.files.craft import Craft
from paddlebar.files.strict import Celsius, Described, Heading, Moment, SameAs, Speed, Strict, Tilt, Turns

PICTURES = ("height", "plan", "yaw", "bar", "ledger")

CHANGE: Final = "Changes to the craft for this flight only: its tables and keys, a part by its name."
"""Words of [change], which is laid over the craft before a scenario is made and so has no field."""

# A key is a line: type and limits, then its words.
# fmt: off


class Winding(Strict):
    """How far the skein is wound."""

    turns: Turns = Field(description="Wound so far; must not pass breaking turns.")
    backed_off: Turns = Field(default=0.0, description="Turns let back after winding.")
    tail_turns: Turns = Field(default=0.0, description="Wound into the tail's own skein.")


class Launch(Strict):
    """How the craft leaves the hand, a stand or the floor."""

    height_m: float = Field(ge=0.0, le=1000.0, description="The craft's datum above the floor.")
    tilt_deg: float = Field(default=0.0, ge=-180.0, le=180.0, description="How far it leans.")
    tilt_toward_deg: Heading = Field(default=0.0, description="Where it leans to: 0 nose, 90 right, 180 tail.")
    heading_deg: Heading = Field(default=0.0, description="Where the nose points: 0 north, 90 east.")
    push_m_s: tuple[float, float, float] = Field(default=(0.0, 0.0, 0.0), description="Speed that the hand gives: forward, right, up; each at most 30.")
    spin_deg_s: float = Field(default=0.0, ge=-1e4, le=1e4, description="How fast the body turns; nose to the right positive.")
    rotor_rpm: float = Field(default=0.0, ge=0.0, le=2e4, description="Speed of the rotor against the body.")
    bar_deg: Tilt = Field(default=0.0, description="Tilt of the bar.")
    teeter_deg: Tilt = Field(default=0.0, description="Tilt of the blades, of a teetering head.")
    release: Literal["free", "held", "floor"] = Field(default="free", description='"free": let go at once; "held": held for hold_s while the rotor turns; "floor": it stands until it lifts.')
    hold_s: float = Field(default=0.0, ge=0.0, le=60.0, description="How long it is held.")


class Air(Strict):
    """Air, wind, gust and turbulence."""

    temperature_C: Celsius = Field(default=20.0, description="Of the air, and of the rubber.")
    pressure_hPa: float = Field(default=1013.25, ge=300.0, le=1100.0, description="Of the air.")
    density_kg_m3: float | None = Field(default=None, ge=0.1, le=2.0, examples=[1.2], description="Of the air, instead of what temperature and pressure give.")
    wind_m_s: Speed = Field(default=0.0, description="Wind at the reference height.")
    wind_from_deg: Heading = Field(default=0.0, description="Where the wind comes from: 0 north, 90 east.")
    shear_exponent: float = Field(default=0.0, ge=0.0, le=1.0, description="How much less wind there is near the ground: 0 none, 0.14 over grass.")
    reference_height_m: float = Field(default=2.0, gt=0.0, le=100.0, description="Height at which the wind is as given.")
    gust_m_s: Speed = Field(default=0.0, description="Peak of a gust on top of the wind.")
    gust_from_deg: Heading = Field(default_factory=SameAs("wind_from_deg"), description="Where the gust comes from.")
    gust_start_s: Moment = Field(default=1.0, description="When the gust begins.")
    gust_length_s: float = Field(default=1.0, gt=0.0, le=600.0, description="How long the gust lasts.")
    turbulence: bool = Field(default=False, description="true: the wind is unsteady too.")
    turbulence_like: Literal["outdoors", "indoors"] = Field(default="outdoors", description='"outdoors": over open ground, grows with the wind, not made for below 3 m; "indoors": of a ventilated room.')
    turbulence_m_s: float | None = Field(default=None, gt=0.0, le=5.0, examples=[0.05], description="How strong, root mean square of the gusts along the wind. Left out: of the wind outdoors, 0.05 indoors.")
    seed: int = Field(default=1, ge=0, le=2**63 - 1, description="Another number, another turbulence.")


class Room(Strict):
    """The room; launch in its middle. Without measures: an open field."""

    ceiling_m: float | None = Field(default=None, gt=0.0, le=500.0, examples=[8], description="Height of the ceiling. Left out: none. What a rotor gains in lift just under a ceiling is not modelled.")
    length_m: float | None = Field(default=None, gt=0.0, le=1000.0, examples=[30], description="North to south; the launch is in the middle. Left out, with width_m: no walls.")
    width_m: float | None = Field(default=None, gt=0.0, le=1000.0, examples=[20], description="West to east; goes with length_m.")
    ground_effect: bool = Field(default=True, description="false: the floor does not help the rotor.")


MishapKind = Literal["cord off", "cord slips", "skein breaks", "tip mass lost", "paddle lost", "bar locked", "teeter locked"]


class Mishap(Strict):
    """Something that goes wrong on cue, at a time or when so many turns are left in the skein."""

    ways = (("at_s",), ("at_turns",))

    what: MishapKind = Field(examples=["cord off"], description="What goes wrong.")
    at_s: float | None = Field(default=None, ge=0.0, le=600.0, examples=[3], description="When: so long after the start.")
    at_turns: float | None = Field(default=None, ge=0.0, le=1e5, examples=[200], description="Or when so many turns are left.")
    arm: Literal[1, 2] = Field(default=1, description="Which arm of the bar loses its tip mass or paddle.")


class Run(Strict):
    """How long and how finely to compute."""

    duration_s: float = Field(default=30.0, gt=0.0, le=600.0, description="Longest flight computed.")
    method: Literal["DOP853", "RK45", "RK23", "Radau", "BDF", "LSODA"] = Field(default="DOP853", description="Which of scipy's solvers.")
    rtol: float = Field(default=1e-5, ge=1e-12, le=1e-2, description="Tolerance of the solver: smaller is more exact and slower.")
    max_step_s: float = Field(default=0.02, ge=1e-5, le=1.0, description="Longest step of the solver.")
    tilt_limit_deg: float = Field(default=100.0, ge=10.0, le=180.0, description="Leaning further than this counts as tipped over.")
    after_tipping: Literal["stop", "fly on"] = Field(default="stop", description="What to do then.")
    breakage: bool = Field(default=True, description="false: a stick bears any load, and blades pass through parts.")
    blade_elements: int = Field(default=8, ge=1, le=100, description="Pieces that a blade is cut into.")
    tail_elements: int = Field(default=3, ge=1, le=50, description="Pieces that a blade of the tail is cut into.")
    paddle_elements: int = Field(default=2, ge=1, le=50, description="Pieces that a paddle is cut into.")
    inflow: Literal["dynamic", "frozen", "none"] = Field(default="dynamic", description='Air drawn through the rotor. "dynamic": it follows the thrust; "frozen": it stays as at launch; "none": there is none.')
    radial_inflow: Literal["annular", "uniform"] = Field(default="annular", description='How that air is spread along the blade: "annular" ring by ring, "uniform" evenly.')
    tip_loss: bool = Field(default=True, description="true: tips lift less, as air slips round them. Used with annular inflow.")
    stall_delay: bool = Field(default=True, description="true: turning blades stall later than a section in a wind tunnel.")


class Pictures(Strict):
    """Which pictures to draw."""

    draw: tuple[Literal["height", "plan", "yaw", "bar", "ledger"], ...] = Field(default=PICTURES, description="Which ones.")  # type: ignore[arg-type]
    dpi: int = Field(default=110, ge=30, le=1200, description="How fine: dots an inch.")


class Scenario(Described):
    """One flight; ``craft`` is the craft with this scenario's changes made."""

    craft: Craft = Field(description="Path of the craft file, from this file; or a whole craft, in tables [craft...].")
    title: str = Field(default="", description="What tables and pictures call this flight.")
    note: str = Field(default="", description="A remark for yourself.")
    skein: Winding = Field(description="How far the skein is wound.")
    launch: Launch = Field(description="How the craft is let go.")
    air: Air = Field(default=Air(), description="Air, wind, gust and turbulence.")
    room: Room = Field(default=Room(), description="The room, with the launch in its middle; without measures: an open field.")
    mishap: tuple[Mishap, ...] = Field(default=(), description="Something that goes wrong on cue, as many as you like.")
    run: Run = Field(default=Run(), description="How long and how finely to compute.")
    pictures: Pictures = Field(default=Pictures(), description="Pictures to draw.")
    # fmt: on

    _texts: tuple[str, str] = PrivateAttr(default=("", ""))
    _force: Any = PrivateAttr(default=None)

    def replace(self, changes: Mapping[str, Any]) -> Scenario:
        """The same flight with some keys changed; every key and value is checked as in a file.

        changes : dotted keys -> values, the craft's under "craft.", as for load_scenario: {"launch.tilt_deg": 5, "craft.bar.gain": 0.4};
            "craft" alone takes a Craft; arrays stand for tables
        Returns : another Scenario
        Raises  : BadInput, one line that names key, value and rule

        >>> from paddlebar import load_scenario
        >>> load_scenario("first-flight").replace({"craft.bar.gain": 0.4}).craft.bar.gain
        0.4
        """
        from paddlebar.files.load import replaced_scenario  # noqa: PLC0415  the reader makes scenarios

        found = replaced_scenario(self, changes)
        return found if self.force is None else found.with_force(self.force)

    @property
    def source_text(self) -> str:
        """Text of the scenario file as read."""
        return self._texts[0]

    @property
    def craft_text(self) -> str:
        """Text of the craft file as read ("" when the craft stands in the scenario itself)."""
        return self._texts[1]

    def with_texts(self, source: str, craft: str) -> Scenario:
        """The same object, keeping the texts it came from."""
        self._texts = (source, craft)
        return self

    @property
    def force(self) -> Any:
        """Forces of one's own that act besides (flight/own.py), None for none; no key of a file, and carried along by every change."""
        return self._force

    def with_force(self, force: Any) -> Scenario:
        """The same scenario under forces of one's own."""
        pushed = self.model_copy()
        pushed._force = force
        return pushed
