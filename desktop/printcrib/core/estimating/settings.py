"""How a printer prints with one nozzle and one material: everything an estimate depends on besides the model.

The typical values are common practice, no source; every one can be changed per printer, nozzle and material.
"""

import hashlib
import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass, fields, replace

import numpy as np

from printcrib.core.errors import ShopError


@dataclass(frozen=True)
class PrintSettings:
    """One printer with one nozzle and one material.

    Attributes:
        bore_um: nozzle bore in micrometres.
        line_width_mm: width of one extruded line.
        layer_height_mm: distance between layers.
        walls: lines along every outline.
        top_skins: solid layers under a top face.
        bottom_skins: solid layers over a bottom face.
        fill: share of the inside that is filled, 0 to 1.
        outer_wall_speed_mm_s: set speed of the outermost line.
        inner_wall_speed_mm_s: set speed of the other walls.
        skin_speed_mm_s: set speed of skins.
        fill_speed_mm_s: set speed of fill.
        first_layer_speed_mm_s: cap on all of these in the first layer.
        travel_speed_mm_s: speed between lines.
        acceleration_mm_s2: of every move.
        corner_allowance_mm: how far a corner may be cut; sets how fast corners are taken.
        flow_limit_mm3_s: most plastic the hot end melts.
        least_layer_s: a layer never takes less, so that it can cool.
        layer_change_s: what going up a layer costs.
        start_s: heat-up, first line and purge, once a run.
        purge_grams: purged once a run.
        first_line_grams: first line or skirt, once a run.
        density_g_cm3: of the material.
        supports: 1 where supports are printed under what hangs over, 0 where not.
        support_fill: share of the room under an overhang that supports fill, 0 to 1.
        support_speed_mm_s: set speed of supports.
        support_gap_mm: supports end so far under what they carry.
        bridge_speed_mm_s: cap on the skin lines printed over air.
        filament_mm: diameter of the filament, for print files.
        nozzle_heats_c_s, platform_heats_c_s: degrees a second, for the waits of print files.
        tool_change_s: what changing the tool in a print file costs.
        g4_p_in_seconds: 1 where P of a wait (G4) in a print file is seconds, 0 where milliseconds.
        g90_sets_filament: 1 where G90 and G91 in a print file count for the filament too.
    """

    bore_um: int
    line_width_mm: float
    layer_height_mm: float
    walls: int
    top_skins: int
    bottom_skins: int
    fill: float
    outer_wall_speed_mm_s: float
    inner_wall_speed_mm_s: float
    skin_speed_mm_s: float
    fill_speed_mm_s: float
    first_layer_speed_mm_s: float
    travel_speed_mm_s: float
    acceleration_mm_s2: float
    corner_allowance_mm: float
    flow_limit_mm3_s: float
    least_layer_s: float
    layer_change_s: float
    start_s: float
    purge_grams: float
    first_line_grams: float
    density_g_cm3: float
    supports: int = 0
    support_fill: float = 0.15
    support_speed_mm_s: float = 60.0
    support_gap_mm: float = 0.2
    bridge_speed_mm_s: float = 30.0
    filament_mm: float = 1.75
    nozzle_heats_c_s: float = 2.0
    platform_heats_c_s: float = 0.3
    tool_change_s: float = 10.0
    g4_p_in_seconds: int = 0
    g90_sets_filament: int = 1

    def __post_init__(self) -> None:
        """Refuse values no printer has, so that a slip of the keyboard is not believed.

        Raises:
            ShopError: a value is outside its limits.
        """
        for name, (least, most) in LIMITS.items():
            value = getattr(self, name)
            if not least <= value <= most:
                raise ShopError(
                    f"{words_for(name)} is {value:g}", f"Give a value between {least:g} and {most:g}."
                )

    @property
    def line_mm2(self) -> float:
        """Cross-section of one line."""
        return self.line_width_mm * self.layer_height_mm

    def capped_speed_mm_s(self, set_speed_mm_s: float) -> float:
        """The set speed, or what the hot end can melt for, whichever is less."""
        return min(set_speed_mm_s, self.flow_limit_mm3_s / self.line_mm2)


LIMITS: Mapping[str, tuple[float, float]] = {
    "bore_um": (100, 3000),
    "line_width_mm": (0.05, 5),
    "layer_height_mm": (0.02, 3),
    "walls": (0, 50),
    "top_skins": (0, 200),
    "bottom_skins": (0, 200),
    "fill": (0, 1),
    "outer_wall_speed_mm_s": (1, 2000),
    "inner_wall_speed_mm_s": (1, 2000),
    "skin_speed_mm_s": (1, 2000),
    "fill_speed_mm_s": (1, 2000),
    "first_layer_speed_mm_s": (1, 2000),
    "travel_speed_mm_s": (1, 3000),
    "acceleration_mm_s2": (10, 100_000),
    "corner_allowance_mm": (0.0001, 1),
    "flow_limit_mm3_s": (0.1, 500),
    "least_layer_s": (0, 600),
    "layer_change_s": (0, 60),
    "start_s": (0, 7200),
    "purge_grams": (0, 200),
    "first_line_grams": (0, 200),
    "density_g_cm3": (0.1, 25),
    "supports": (0, 1),
    "support_fill": (0, 1),
    "support_speed_mm_s": (1, 2000),
    "support_gap_mm": (0, 5),
    "bridge_speed_mm_s": (1, 2000),
    "filament_mm": (0.5, 10),
    "nozzle_heats_c_s": (0.05, 50),
    "platform_heats_c_s": (0.01, 20),
    "tool_change_s": (0, 600),
    "g4_p_in_seconds": (0, 1),
    "g90_sets_filament": (0, 1),
}

SWITCHES = frozenset({"supports", "g4_p_in_seconds", "g90_sets_filament"})
FOR_PRINT_FILES = frozenset(
    {
        "filament_mm",
        "nozzle_heats_c_s",
        "platform_heats_c_s",
        "tool_change_s",
        "g4_p_in_seconds",
        "g90_sets_filament",
    }
)
"""Settings only the reading of a print file asks for: an estimate from a model stays when they change."""
WHOLE_NUMBERS = frozenset({"bore_um", "walls", "top_skins", "bottom_skins"}) | SWITCHES

BEYOND = 1e12  # no setting comes near; whole numbers read from a file can be too long to be written out

# Hot-end limits by bore, mm and mm3/s (common practice, no source).
FLOW_BORES_MM = (0.1, 0.4, 0.6, 0.8, 1.0, 3.0)
FLOW_LIMITS = (2.0, 11.0, 17.0, 22.0, 26.0, 60.0)


def typical_settings(bore_um: int, density_g_cm3: float = 1.24) -> PrintSettings:
    """Settings for a nozzle nobody has described yet (common practice, no source).

    Lines 1.1 bores wide, layers half a bore high, walls about 1.2 mm and skins about 0.8 mm thick.

    Args:
        bore_um: nozzle bore in micrometres.
        density_g_cm3: of the material; PLA when left out.
    """
    bore = bore_um / 1000
    skins = max(2, round(0.8 / (bore / 2)))
    return PrintSettings(
        bore_um=bore_um,
        line_width_mm=round(1.1 * bore, 4),
        layer_height_mm=round(bore / 2, 4),
        walls=max(2, round(1.2 / (1.1 * bore))),
        top_skins=skins,
        bottom_skins=skins,
        fill=0.2,
        outer_wall_speed_mm_s=40.0,
        inner_wall_speed_mm_s=60.0,
        skin_speed_mm_s=60.0,
        fill_speed_mm_s=80.0,
        first_layer_speed_mm_s=30.0,
        travel_speed_mm_s=150.0,
        acceleration_mm_s2=1500.0,
        corner_allowance_mm=0.03,
        flow_limit_mm3_s=round(float(np.interp(bore, FLOW_BORES_MM, FLOW_LIMITS)), 3),
        least_layer_s=8.0,
        layer_change_s=0.3,
        start_s=240.0,
        purge_grams=0.5,
        first_line_grams=0.3,
        density_g_cm3=density_g_cm3,
        supports=0,
        support_fill=0.15,
        support_speed_mm_s=60.0,
        support_gap_mm=round(bore / 2, 4),
        bridge_speed_mm_s=30.0,
    )


def settings_as_dict(settings: PrintSettings) -> dict[str, float]:
    """Every setting by name, for a file or a form; the unit is the end of the name."""
    return {
        key: int(value) if key in WHOLE_NUMBERS else float(value) for key, value in asdict(settings).items()
    }


def settings_with(base: PrintSettings, changes: Mapping[str, object]) -> PrintSettings:
    """The settings with some of them changed.

    Args:
        base: settings to start from.
        changes: new values by name, as read from a file or a form.

    Raises:
        ShopError: an unknown name, something that is not a number, or a value out of limits.
    """
    known = {field.name for field in fields(PrintSettings)}
    values: dict[str, float] = {}
    for name, value in changes.items():
        if name not in known:
            raise ShopError(f"There is no setting called {name}", "Print the settings to see their names.")
        values[name] = _number(name, value)
    return replace(base, **values)  # type: ignore[arg-type]


def _number(name: str, value: object) -> float:
    if name in SWITCHES and isinstance(value, bool):
        return int(value)
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise ShopError(f"{words_for(name)} is not a number", "Type a number.")
    if abs(value) > BEYOND:
        least, most = LIMITS[name]
        raise ShopError(f"{words_for(name)} is out of reach", f"Give a value between {least:g} and {most:g}.")
    if name in WHOLE_NUMBERS:
        if value % 1:  # true of what is not a number too
            raise ShopError(f"{words_for(name)} is {value:g}", "Give a whole number.")
        return int(value)
    return float(value)


def settings_hash(settings: PrintSettings) -> str:
    """A stable fingerprint: stored beside an estimate, it tells when the estimate is out of date."""
    told = {name: value for name, value in settings_as_dict(settings).items() if name not in FOR_PRINT_FILES}
    text = json.dumps(told, sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()


def words_for(name: str) -> str:
    """A setting's name as people read it: ``layer height``."""
    for unit in ("_mm_s2", "_mm3_s", "_mm_s", "_g_cm3", "_c_s", "_um", "_mm", "_s"):
        name = name.removesuffix(unit)
    return name.replace("_", " ")
