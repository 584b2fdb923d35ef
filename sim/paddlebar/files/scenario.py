"""The scenario file: one flight of a craft. Values stay in file units."""

from __future__ import annotations

from typing import Literal

from pydantic import Field, PrivateAttr

from paddlebar.files.craft import Craft
from paddlebar.files.strict import Described, Heading, Strict

PICTURES = ("height", "plan", "yaw", "bar", "ledger")


class Winding(Strict):
    """How far the skein is wound."""

    turns: float = Field(ge=0.0, le=1e5)
    backed_off: float = Field(default=0.0, ge=0.0, le=1e5)  # wound to `turns`, then let back by so many
    tail_turns: float = Field(default=0.0, ge=0.0, le=1e5)


class Launch(Strict):
    """How the craft leaves the hand, a stand or the floor."""

    height_m: float = Field(ge=0.0, le=1000.0)  # datum above the floor
    tilt_deg: float = Field(default=0.0, ge=-180.0, le=180.0)
    tilt_toward_deg: Heading = 0.0  # 0: the top leans to the nose, 90: to the right
    heading_deg: Heading = 0.0
    push_m_s: tuple[float, float, float] = (0.0, 0.0, 0.0)  # forward, right, up
    spin_deg_s: float = Field(default=0.0, ge=-1e4, le=1e4)  # nose to the right positive
    rotor_rpm: float = Field(default=0.0, ge=0.0, le=2e4)
    bar_deg: float = Field(default=0.0, ge=-85.0, le=85.0)
    teeter_deg: float = Field(default=0.0, ge=-85.0, le=85.0)
    release: Literal["free", "held", "floor"] = "free"
    hold_s: float = Field(default=0.0, ge=0.0, le=60.0)


class Air(Strict):
    """Air, wind, gust and turbulence."""

    temperature_C: float = Field(default=20.0, ge=-30.0, le=60.0)
    pressure_hPa: float = Field(default=1013.25, ge=300.0, le=1100.0)
    density_kg_m3: float | None = Field(default=None, ge=0.1, le=2.0)  # overrides both
    wind_m_s: float = Field(default=0.0, ge=0.0, le=30.0)
    wind_from_deg: Heading = 0.0
    shear_exponent: float = Field(default=0.0, ge=0.0, le=1.0)
    reference_height_m: float = Field(default=2.0, gt=0.0, le=100.0)
    gust_m_s: float = Field(default=0.0, ge=0.0, le=30.0)
    gust_from_deg: Heading = Field(default_factory=lambda data: data.get("wind_from_deg"))
    gust_start_s: float = Field(default=1.0, ge=0.0, le=600.0)
    gust_length_s: float = Field(default=1.0, gt=0.0, le=600.0)
    turbulence: bool = False
    seed: int = Field(default=1, ge=0, le=2**63 - 1)


class Room(Strict):
    """The room; launch in its middle. Without measures: an open field."""

    ceiling_m: float | None = Field(default=None, gt=0.0, le=500.0)
    length_m: float | None = Field(default=None, gt=0.0, le=1000.0)
    width_m: float | None = Field(default=None, gt=0.0, le=1000.0)
    ground_effect: bool = True


MishapKind = Literal[
    "cord off", "cord slips", "skein breaks", "tip mass lost", "paddle lost", "bar locked", "teeter locked"
]


class Mishap(Strict):
    """Something that goes wrong on cue, at a time or when so many turns are left in the skein."""

    what: MishapKind
    at_s: float | None = Field(default=None, ge=0.0, le=600.0)
    at_turns: float | None = Field(default=None, ge=0.0, le=1e5)
    arm: Literal[1, 2] = 1


class Run(Strict):
    """How long and how finely to compute."""

    duration_s: float = Field(default=30.0, gt=0.0, le=600.0)
    method: Literal["DOP853", "RK45", "RK23", "Radau", "BDF", "LSODA"] = "DOP853"
    rtol: float = Field(default=1e-5, ge=1e-12, le=1e-2)
    max_step_s: float = Field(default=0.02, ge=1e-5, le=1.0)
    tilt_limit_deg: float = Field(default=100.0, ge=10.0, le=180.0)
    after_tipping: Literal["stop", "fly on"] = "stop"
    breakage: bool = True
    blade_elements: int = Field(default=8, ge=1, le=100)
    tail_elements: int = Field(default=3, ge=1, le=50)
    paddle_elements: int = Field(default=2, ge=1, le=50)
    inflow: Literal["dynamic", "frozen", "none"] = "dynamic"
    radial_inflow: Literal["annular", "uniform"] = "annular"
    tip_loss: bool = True
    stall_delay: bool = True


class Pictures(Strict):
    """Which pictures to draw."""

    draw: tuple[Literal["height", "plan", "yaw", "bar", "ledger"], ...] = PICTURES  # type: ignore[assignment]
    dpi: int = Field(default=110, ge=30, le=1200)


class Scenario(Described):
    """One flight; ``craft`` is the craft with this scenario's changes made."""

    craft: Craft
    title: str = ""
    note: str = ""
    skein: Winding
    launch: Launch
    air: Air = Air()
    room: Room = Room()
    mishap: tuple[Mishap, ...] = ()
    run: Run = Run()
    pictures: Pictures = Pictures()

    _texts: tuple[str, str] = PrivateAttr(default=("", ""))

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
