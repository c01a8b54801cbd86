"""Charts and pictures: columns to scale, causes in order, a spool's steps, photos fitted."""

import pytest
from PySide6.QtCore import QBuffer, QByteArray, QIODevice
from PySide6.QtGui import QImage
from pytestqt.qtbot import QtBot

from printcrib.screens.parts.charts import (
    Cause,
    ColumnsChart,
    ParetoChart,
    Series,
    StepDown,
    StepDownChart,
    amount_words,
    round_step,
)
from printcrib.screens.parts.picture import PictureView
from printcrib.screens.parts.tokens import current_tokens
from printcrib.screens.shell.theme import Theme


@pytest.mark.parametrize(
    ("most", "about", "step"),
    [(36, 4, 10), (412, 3, 200), (1000, 4, 250), (7, 4, 2), (0.8, 4, 0.2), (0, 4, 1), (100, 1, 100)],
)
def test_grid_steps_are_round(most: float, about: int, step: float) -> None:
    assert round_step(most, about) == pytest.approx(step)


def test_columns_stand_to_scale(qtbot: QtBot, each_theme: Theme) -> None:
    chart = ColumnsChart("printer hours by day")
    qtbot.addWidget(chart)
    chart.resize(448, 256)
    chart.grab()
    chart.set_columns(("Mon", "Tue"), (Series("North", (20, 10)),))
    image = chart.grab().toImage()
    accent = current_tokens().accent
    plot = (chart.width() - 48) / 2
    highs = [
        sum(image.pixelColor(round(48 + plot * (column + 0.5)), y) == accent for y in range(20, 235))
        for column in range(2)
    ]
    assert highs[0] == pytest.approx(2 * highs[1], abs=4)


def test_several_series_have_a_legend_with_totals(qtbot: QtBot, each_theme: Theme) -> None:
    chart = ColumnsChart("printer hours by day")
    qtbot.addWidget(chart)
    chart.resize(600, 260)
    chart.set_columns(
        ("Mon",), (Series("North", (12,)), Series("South", (9,), "hatch"), Series("East", (9,), "tint"))
    )
    image = chart.grab().toImage()
    seen = {image.pixelColor(x, y).name() for x in range(0, 400, 2) for y in range(26, 230, 2)}
    assert {current_tokens().accent.name(), current_tokens().tint.name()} <= seen
    assert ColumnsChart._told(Series("North", (12.2, 3))) == "North 15"


def test_causes_stand_largest_first_and_unknown_last(qtbot: QtBot, each_theme: Theme) -> None:
    chart = ParetoChart("why copies failed", ("copies", "grams lost"))
    qtbot.addWidget(chart)
    chart.resize(500, 260)
    chart.grab()
    chart.set_causes(
        (Cause("not known yet", (9, 92), known=False), Cause("ran out", (2, 420)), Cause("corner", (3, 1)))
    )
    assert [cause.words for cause in chart._causes] == ["corner", "ran out", "not known yet"]
    image = chart.grab().toImage()
    assert current_tokens().accent.name() in {image.pixelColor(x, 48).name() for x in range(120, 480)}


@pytest.mark.parametrize("fan", [True, False])
def test_a_spool_steps_down_with_its_runs(qtbot: QtBot, each_theme: Theme, fan: bool) -> None:
    chart = StepDownChart()
    qtbot.addWidget(chart)
    chart.resize(360, 340)
    bare = chart.grab().toImage()
    chart.set_data(
        StepDown(
            412,
            ((0.5, 316, "36"), (1.2, 148, "41")),
            ((1.2, 148, 148, 160), (5, 0, 40, 90)) if fan else (),
            150 if fan else None,
            (3, 4, 5) if fan else None,
            ((0.5, "Wed"), (1.5, "Thu")),
            5,
        )
    )
    image = chart.grab().toImage()
    assert image != bare
    accent = current_tokens().accent.name()
    drop = [
        y for y in range(image.height()) if image.pixelColor(round(56 + (360 - 58) * 0.1), y).name() == accent
    ]
    assert max(drop) - min(drop) > 30  # the first run's grams, as an upright line


class TestPicture:
    def png(self, width: int, height: int) -> bytes:
        image = QImage(width, height, QImage.Format.Format_RGB32)
        image.fill(0xFF3366)
        kept = QByteArray()
        buffer = QBuffer(kept)
        buffer.open(QIODevice.OpenModeFlag.WriteOnly)
        image.save(buffer, "PNG")  # type: ignore[call-overload]
        return bytes(kept.data())

    def test_is_fitted_and_never_stretched(self, qtbot: QtBot, theme: Theme) -> None:
        view = PictureView("failed copy")
        qtbot.addWidget(view)
        view.resize(400, 200)
        assert view.set_picture(self.png(100, 100))
        image = view.grab().toImage()
        red = [x for x in range(400) if image.pixelColor(x, 100).name() == "#ff3366"]
        assert (min(red), max(red)) == pytest.approx((100, 299), abs=1)

    def test_what_is_no_picture_says_so(self, qtbot: QtBot, theme: Theme) -> None:
        view = PictureView("failed copy", empty="No photo")
        qtbot.addWidget(view)
        assert not view.set_picture(b"not a picture")
        assert not view.set_picture(None)
        view.grab()


@pytest.mark.parametrize(("amount", "words"), [(0.0, "0"), (0.3, "0.3"), (2.0, "2"), (17.6, "18")])
def test_a_small_amount_keeps_its_tenth(amount: float, words: str) -> None:
    assert amount_words(amount) == words
