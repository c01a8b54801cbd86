"""Settings: typical values, limits, names with units, a stable fingerprint."""

from dataclasses import fields, replace

import pytest

from printcrib.core.errors import ShopError
from printcrib.core.estimating.settings import (
    LIMITS,
    PrintSettings,
    settings_as_dict,
    settings_hash,
    settings_with,
    typical_settings,
    words_for,
)


@pytest.mark.parametrize(
    ("bore_um", "width", "height", "walls", "skins", "flow"),
    [
        (400, 0.44, 0.2, 3, 4, 11),
        (600, 0.66, 0.3, 2, 3, 17),
        (800, 0.88, 0.4, 2, 2, 22),
        (1000, 1.1, 0.5, 2, 2, 26),
    ],
)
def test_typical_values(
    bore_um: int, width: float, height: float, walls: int, skins: int, flow: float
) -> None:
    typical = typical_settings(bore_um)
    assert (typical.line_width_mm, typical.layer_height_mm) == (width, height)
    assert (typical.walls, typical.top_skins, typical.bottom_skins) == (walls, skins, skins)
    assert typical.flow_limit_mm3_s == flow


@pytest.mark.parametrize("bore_um", [100, 150, 250, 350, 500, 700, 1200, 2000, 3000])
def test_other_bores_lie_between(bore_um: int) -> None:
    typical = typical_settings(bore_um)
    assert 2 <= typical.flow_limit_mm3_s <= 60
    assert typical.walls >= 2


def test_flow_governs_large_nozzles() -> None:
    assert typical_settings(400).capped_speed_mm_s(40) == 40
    assert typical_settings(1000).capped_speed_mm_s(80) == pytest.approx(26 / 0.55)


def test_every_setting_has_limits_and_typical_values_keep_them() -> None:
    assert set(LIMITS) == {field.name for field in fields(PrintSettings)}


def test_a_slip_of_the_keyboard_is_refused() -> None:
    with pytest.raises(ShopError, match=r"layer height is 20. Give a value between 0.02 and 3."):
        replace(typical_settings(400), layer_height_mm=20.0)
    with pytest.raises(ShopError, match="acceleration is nan"):
        replace(typical_settings(400), acceleration_mm_s2=float("nan"))


def test_changes_by_name() -> None:
    changed = settings_with(typical_settings(400), {"walls": 5.0, "fill": 1})
    assert (changed.walls, changed.fill) == (5, 1.0)
    assert settings_with(typical_settings(400), {}) == typical_settings(400)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"speed": 40}, "There is no setting called speed"),
        ({"fill": "much"}, "fill is not a number"),
        ({"fill": True}, "fill is not a number"),
        ({"walls": 2.5}, "walls is 2.5. Give a whole number."),
        ({"density_g_cm3": 0}, "density is 0"),
        ({"walls": float("nan")}, "walls is nan. Give a whole number."),
        ({"walls": float("inf")}, "walls is out of reach. Give a value between 0 and 50."),
        ({"walls": 10**400}, "walls is out of reach"),
        ({"start_s": -(10**400)}, "start is out of reach. Give a value between 0 and 7200."),
        ({"fill": float("nan")}, "fill is nan"),
        ({"fill": None}, "fill is not a number"),
    ],
)
def test_changes_that_make_no_sense(changes: dict[str, object], words: str) -> None:
    with pytest.raises(ShopError, match=words):
        settings_with(typical_settings(400), changes)


def test_supports_are_switched_by_yes_or_no_or_a_number() -> None:
    assert typical_settings(400).supports == 0
    for on in (True, 1, 1.0):
        assert settings_with(typical_settings(400), {"supports": on}).supports == 1
    with pytest.raises(ShopError, match=r"supports is 2. Give a value between 0 and 1."):
        settings_with(typical_settings(400), {"supports": 2})


def test_settings_kept_before_there_were_supports_still_hold() -> None:
    kept = settings_as_dict(typical_settings(600))
    new = ("supports", "support_fill", "support_speed_mm_s", "support_gap_mm", "bridge_speed_mm_s")
    older = {name: value for name, value in kept.items() if name not in new}
    assert settings_with(typical_settings(600), older) == typical_settings(600)
    assert PrintSettings(**older).supports == 0  # type: ignore[arg-type]


def test_settings_go_to_a_file_and_back() -> None:
    typical = typical_settings(600, 1.05)
    written = settings_as_dict(typical)
    assert written["bore_um"] == 600
    assert settings_with(typical_settings(400), written) == typical


def test_the_fingerprint_follows_the_values_only() -> None:
    assert settings_hash(typical_settings(400)) == settings_hash(typical_settings(400))
    assert settings_hash(replace(typical_settings(400), walls=4)) != settings_hash(typical_settings(400))
    assert settings_hash(replace(typical_settings(400), start_s=240)) == settings_hash(typical_settings(400))


def test_names_are_read_without_their_unit() -> None:
    assert [words_for(name) for name in ("acceleration_mm_s2", "flow_limit_mm3_s", "bore_um", "start_s")] == [
        "acceleration",
        "flow limit",
        "bore",
        "start",
    ]
