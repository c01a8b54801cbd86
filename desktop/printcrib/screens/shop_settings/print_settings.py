"""How a printer prints with a nozzle and a material: every value beside the typical one."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from types import MappingProxyType
from typing import Any

from PySide6.QtCore import Signal

from printcrib.core.estimating.settings import LIMITS, WHOLE_NUMBERS
from printcrib.core.printers import PrintProfile
from printcrib.core.units import bore_text
from printcrib.screens.parts.ask import AskPanel
from printcrib.screens.parts.fields import ChoiceRow, Field
from printcrib.screens.parts.pick import Pick, PickField
from printcrib.screens.parts.words import Words
from printcrib.screens.shop_settings.entries import ChoiceEntry, Entry, FigureEntry
from printcrib.screens.shop_settings.presenter import Typical
from printcrib.screens.shop_settings.record_panel import RecordPanel

EVERY = "0"
TYPICAL = "typical"


@dataclass(frozen=True)
class Setting:
    """How a print setting is asked.

    Attributes:
        decimals: digits after the point. scale: what one of the shown unit is in the settings.
        words: what 0 and 1 are called, where there is nothing else to choose.
    """

    label: str
    unit: str = ""
    decimals: int = 0
    scale: str = "1"
    words: tuple[str, str] | tuple[()] = ()

    def shown(self, value: float) -> str:
        """A value with its unit."""
        if self.words:
            return self.words[int(value)]
        return f"{(Decimal(str(value)) / Decimal(self.scale)).normalize():f} {self.unit}".strip()


SETTINGS: Mapping[str, Setting] = MappingProxyType(
    {
        "layer_height_mm": Setting("Height of a layer", "mm", 3),
        "line_width_mm": Setting("Width of a line", "mm", 3),
        "walls": Setting("Lines along an outline"),
        "fill": Setting("Inside filled", "%", 1, "0.01"),
        "top_skins": Setting("Solid layers on top"),
        "bottom_skins": Setting("Solid layers at the bottom"),
        "outer_wall_speed_mm_s": Setting("Speed of the outermost line", "mm/s", 1),
        "inner_wall_speed_mm_s": Setting("Speed of the other outlines", "mm/s", 1),
        "skin_speed_mm_s": Setting("Speed of solid layers", "mm/s", 1),
        "fill_speed_mm_s": Setting("Speed inside", "mm/s", 1),
        "first_layer_speed_mm_s": Setting("First layer, at most", "mm/s", 1),
        "travel_speed_mm_s": Setting("Speed between lines", "mm/s", 1),
        "acceleration_mm_s2": Setting("Acceleration", "mm/s²"),
        "corner_allowance_mm": Setting("A corner is cut by, at most", "mm", 4),
        "flow_limit_mm3_s": Setting("The hot end melts, at most", "mm³/s", 1),
        "least_layer_s": Setting("A layer takes, at least", "s", 1),
        "layer_change_s": Setting("Going up a layer takes", "s", 2),
        "start_s": Setting("Heat-up, first line and purge, once a run", "s"),
        "purge_grams": Setting("Purged, once a run", "g", 2),
        "first_line_grams": Setting("First line, once a run", "g", 2),
        "supports": Setting("Supports under what hangs over", words=("no", "yes")),
        "support_fill": Setting("Supports filled", "%", 1, "0.01"),
        "support_speed_mm_s": Setting("Speed of supports", "mm/s", 1),
        "support_gap_mm": Setting("Supports end below it by", "mm", 3),
        "bridge_speed_mm_s": Setting("Solid lines over air, at most", "mm/s", 1),
        "filament_mm": Setting("Print files: thickness of the filament", "mm", 3),
        "tool_change_s": Setting("Print files: changing the tool takes", "s", 1),
        "nozzle_heats_c_s": Setting("Print files: the nozzle heats up by", "°C/s", 2),
        "platform_heats_c_s": Setting("Print files: the platform heats up by", "°C/s", 2),
        "g4_p_in_seconds": Setting("Print files: G4 P waits in", words=("milliseconds", "seconds")),
        "g90_sets_filament": Setting("Print files: G90, G91 count for filament", words=("no", "yes")),
    }
)
"""Name of a setting -> how it is asked, in the order of the form."""


class WhichPanel(AskPanel):
    """For which nozzle and which material the settings are.

    Signals:
        told(int, int): the bore, micrometres, and the material's key, 0 for every material.
    """

    told = Signal(int, int)

    def __init__(self, printer: str, bores: Sequence[int], materials: Mapping[int, str]) -> None:
        super().__init__(
            f"Print settings of {printer}",
            confirm="Show them" if bores else "",
            sentence="What is set for one material wins over what is set for every material.",
            width=820,
        )
        choices = [(str(bore), bore_text(bore)) for bore in bores]
        self.bore = ChoiceRow(choices, chosen=choices[0][0] if choices else None, columns=6)
        picks = [Pick(EVERY, "Every material"), *(Pick(str(key), name) for key, name in materials.items())]
        self.material = PickField(says="material", picks=picks, chosen=EVERY)
        if bores:
            self.body.addWidget(Field("Nozzle", self.bore))
            self.body.addWidget(Field("Material", self.material))
        else:
            for unused in (self.bore, self.material):
                unused.setParent(self)
                unused.hide()
            self.body.addWidget(Words("No nozzle fits this printer yet. Add one under Nozzles first."))
        self.body.addStretch(1)
        self.confirmed.connect(self._on_told)

    def _on_told(self) -> None:
        if self.bore.chosen is not None:
            self.told.emit(int(self.bore.chosen), int(self.material.chosen or EVERY))


class YesNoEntry(ChoiceEntry):
    """Yes, no, or what is typical."""

    def __init__(self, name: str, setting: Setting, typical: float) -> None:
        named = [(str(value), words.capitalize()) for value, words in enumerate(setting.words)]
        usual = f"Typical, {setting.shown(typical)}"
        super().__init__(name, setting.label, [(TYPICAL, usual), *named], columns=3)

    def value(self) -> float | None:  # type: ignore[override]
        chosen = super().value()
        return None if chosen in ("", TYPICAL) else float(chosen)

    def set_value(self, value: Any) -> None:
        super().set_value(TYPICAL if value is None else int(value))

    def words(self, value: Any) -> str:
        return super().words(TYPICAL if value is None else int(value))


class ProfilePanel(RecordPanel):
    """Every print setting; one that was not changed is the typical one."""

    def __init__(self, asked: Typical, draft: Mapping[str, Any]) -> None:
        entries: list[Entry] = [
            (YesNoEntry if setting.words else _entry)(name, setting, asked.typical[name])
            for name, setting in SETTINGS.items()
        ]
        bore = bore_text(asked.profile.bore_um)
        super().__init__(
            f"{asked.printer}, nozzle {bore}, {asked.material}",
            asked.profile,
            [entries[at : at + 2] for at in range(0, len(entries), 2)],
            sentence="Typical values are common practice, no source. Estimates follow what you keep here.",
            spread=lambda profile: {name: profile.values.get(name) for name in SETTINGS},
            gather=_gather,
            draft=draft,
        )


def _entry(name: str, setting: Setting, typical: float) -> FigureEntry:
    least, most = (float(Decimal(str(limit)) / Decimal(setting.scale)) for limit in LIMITS[name])
    return FigureEntry(
        name,
        setting.label,
        setting.unit,
        least=least,
        most=most,
        decimals=setting.decimals,
        scale=setting.scale,
        whole=name in WHOLE_NUMBERS,
        nothing=f"typical, {setting.shown(typical)}",
        clear_words="Typical",
        hint=f"Typical {setting.shown(typical)}",
    )


def _gather(profile: PrintProfile, values: dict[str, Any]) -> PrintProfile:
    return replace(profile, values={name: value for name, value in values.items() if value is not None})
