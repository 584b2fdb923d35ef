"""Numbers of what is around: the air and its motion, and where fuselage meets air, floor and walls."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from paddlebar.craft import turbulence
from paddlebar.craft.numbers import Numbers, fill
from paddlebar.craft.parameters import MAX_CONTACTS, MAX_STATIONS
from paddlebar.craft.parts import ROD_CD, Station, rod_stations, stations
from paddlebar.craft.standing import contacts, skeins
from paddlebar.craft.wake import wash_at
from paddlebar.files.craft import Craft
from paddlebar.files.scenario import Air
from paddlebar.physics.air import density, viscosity
from paddlebar.units import to_si

Array = NDArray[np.float64]


def fill_airframe(numbers: Numbers, craft: Craft, rho: float) -> None:
    """Stations of the fuselage and the skein, with their share of the rotor's wash; points that may touch."""
    p = numbers.params[0]
    found: list[Station] = [station for part in craft.part for station in stations(part)]
    skein = skeins(craft)[0]
    found += rod_stations(skein.ends[0], skein.ends[1], 2.0 * skein.radius, ROD_CD)
    touch = contacts(craft)
    if len(found) > MAX_STATIONS or len(touch) > MAX_CONTACTS:
        raise craft.bad("part", f"at most {MAX_STATIONS // 2} parts, found {len(craft.part)}")
    fill(numbers.params, stations=len(found), contacts=len(touch))
    for k, s in enumerate(found):
        p["st_kind"][k] = s.kind
        p["st_place"][k] = s.place
        p["st_axis"][k] = s.axis
        p["st_half_drag"][k] = 0.5 * rho * craft.airframe_drag_factor * s.drag_area
        p["st_wash_down"][k], p["st_wash_up"][k] = wash_at(numbers, s.place)
    for k, place in enumerate(touch):
        p["contact_place"][k] = place


def fill_air(params: NDArray[np.void], air: Air, launch_height: float) -> tuple[float, float, float, Array]:
    temperature = to_si("temperature_C", air.temperature_C)
    rho = (
        air.density_kg_m3
        if air.density_kg_m3 is not None
        else density(temperature, to_si("pressure_hPa", air.pressure_hPa))
    )
    nu = viscosity(temperature) / rho
    toward = to_si("wind_from_deg", air.wind_from_deg) + math.pi
    gust = to_si("gust_from_deg", air.gust_from_deg) + math.pi
    fill(
        params,
        rho=rho,
        nu=nu,
        wind_north=air.wind_m_s * math.cos(toward),
        wind_east=air.wind_m_s * math.sin(toward),
        wind_reference=air.reference_height_m,
        wind_shear=air.shear_exponent,
        gust_north=air.gust_m_s * math.cos(gust),
        gust_east=air.gust_m_s * math.sin(gust),
        gust_start=air.gust_start_s,
        gust_length=air.gust_length_s,
    )
    gusts = _gusts(air, launch_height, toward)
    if gusts.any():
        fill(params, turbulence_rate=turbulence.RATE)
    return temperature, rho, nu, gusts


def _gusts(air: Air, launch_height: float, toward: float) -> Array:
    """Table of turbulence [m/s]; all nought without it."""
    still = np.zeros((4, 3))
    if not air.turbulence:
        return still
    if air.turbulence_like == "indoors":
        strength = turbulence.INDOOR_GUSTS if air.turbulence_m_s is None else air.turbulence_m_s
        return turbulence.room_table(air.seed, strength, air.wind_m_s, toward)
    twenty_feet = air.wind_m_s * (6.096 / air.reference_height_m) ** air.shear_exponent
    here = air.wind_m_s * (max(launch_height, 0.5) / air.reference_height_m) ** air.shear_exponent
    sigma, length = turbulence.scales(launch_height, twenty_feet if air.turbulence_m_s is None else 1.0)
    if air.turbulence_m_s is not None:
        sigma = sigma * air.turbulence_m_s / sigma[0]
    elif air.wind_m_s == 0.0:
        return still
    return turbulence.air_table(air.seed, sigma, length, max(here, turbulence.LEAST_DRIFT), toward)
