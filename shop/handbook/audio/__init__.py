"""The audio bench: levels, output stages, fuses, the line, motors and potentiometers.

Sources
    Named in each module.
"""

from __future__ import annotations

from .drives import (
    Taper,
    TaperOrigin,
    Winding,
    judge_winding,
    mid_rotation_percent,
    stall_current,
    taper_at_mid_rotation,
    tapers_of_letter,
)
from .fuses import Breaking, Characteristic, Fuse, objections, read_fuse, standards_warning, ul_rating_near
from .levels import (
    dbm,
    dbu,
    dbv,
    dbw,
    power,
    preconditioning_watt,
    rms_of_peak_to_peak,
    volts_of_dbu,
    volts_of_dbv,
    watts_of_dbw,
)
from .line import (
    LAMP_WATTS,
    Glow,
    Lamp,
    LineEffect,
    SetKind,
    glow_says,
    lamp,
    lamp_watts_by_draw,
    line_effect,
)
from .output_stage import (
    RELAY_TRIP_VOLT,
    WARM_UP_MINUTE,
    Junction,
    Offset,
    OffsetBand,
    OffsetLimits,
    current_ratio,
    delta_vbe,
    idle_current,
    judge_offset,
    read_junction,
    thermal_voltage,
    vbe_drift,
)
from .refusal import AudioError

__all__ = [
    "LAMP_WATTS",
    "RELAY_TRIP_VOLT",
    "WARM_UP_MINUTE",
    "AudioError",
    "Breaking",
    "Characteristic",
    "Fuse",
    "Glow",
    "Junction",
    "Lamp",
    "LineEffect",
    "Offset",
    "OffsetBand",
    "OffsetLimits",
    "SetKind",
    "Taper",
    "TaperOrigin",
    "Winding",
    "current_ratio",
    "dbm",
    "dbu",
    "dbv",
    "dbw",
    "delta_vbe",
    "glow_says",
    "idle_current",
    "judge_offset",
    "judge_winding",
    "lamp",
    "lamp_watts_by_draw",
    "line_effect",
    "mid_rotation_percent",
    "objections",
    "power",
    "preconditioning_watt",
    "read_fuse",
    "read_junction",
    "rms_of_peak_to_peak",
    "stall_current",
    "standards_warning",
    "taper_at_mid_rotation",
    "tapers_of_letter",
    "thermal_voltage",
    "ul_rating_near",
    "vbe_drift",
    "volts_of_dbu",
    "volts_of_dbv",
    "watts_of_dbw",
]
