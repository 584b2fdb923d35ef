"""Words for the figures of a flight's summary: for the screen and for pages."""

from __future__ import annotations

from typing import Final

# key of the summary -> words, format, unit
SUMMARY: Final[dict[str, tuple[str, str, str]]] = {
    "duration_s": ("time in the air or on the stand", ".2f", "s"),
    "powered_s": ("of it with turns left", ".2f", "s"),
    "peak_height_m": ("peak height", ".2f", "m"),
    "drift_m": ("drift over the ground", ".2f", "m"),
    "max_tilt_deg": ("largest tilt", ".0f", "deg"),
    "final_tilt_deg": ("tilt at the end", ".0f", "deg"),
    "body_turns": ("turns of the body, right positive", "+.1f", ""),
    "peak_body_rate_deg_s": ("fastest spin of the body", ".0f", "deg/s"),
    "turns_used": ("turns used", ".0f", ""),
    "turns_left": ("turns left in the skein", ".0f", ""),
    "energy_error": ("energy ledger out by", ".2g", "of what was let out"),
}
