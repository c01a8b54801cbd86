"""Bars, marks and legends: what is painted where, and what a screen reader is told."""

import pytest
from PySide6.QtCore import QRectF
from PySide6.QtGui import QColor, QImage, QPainter
from pytestqt.qtbot import QtBot

from printcrib.screens.parts.bars import Bar, BarView, EstimateBar, LifeBar, MaterialBar, TimeBar
from printcrib.screens.parts.icons import ICONS, icon_pixmap, window_icon
from printcrib.screens.parts.legend import RUN_SIGNS, SPOOL_SIGNS, Legend
from printcrib.screens.parts.marks import IconMark, NozzleMark, SpoolChip
from printcrib.screens.parts.tokens import Tokens, current_tokens
from printcrib.screens.shell.theme import Theme

WIDTH = 200


def painted(bar: Bar, tokens: Tokens) -> QImage:
    """A bar on the sheet, 200 px wide."""
    image = QImage(WIDTH, 40, QImage.Format.Format_RGB32)
    image.fill(tokens.sheet)
    painter = QPainter(image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    bar.paint(painter, QRectF(0, 0, WIDTH, 40), tokens)
    painter.end()
    return image


def at(image: QImage, share: float, y: int) -> QColor:
    return image.pixelColor(min(WIDTH - 1, round(share * WIDTH)), y)


class TestMaterialBar:
    def test_free_grams_are_solid_promised_hatched_and_the_rest_is_track(self, each_theme: Theme) -> None:
        tokens = current_tokens()
        image = painted(MaterialBar(1000, 640, 240), tokens)
        assert at(image, 0.2, 9) == tokens.accent
        assert at(image, 0.8, 9) == tokens.well
        promised = {image.pixelColor(x, 9).name() for x in range(84, 126)}
        assert len(promised) > 2  # hatch: neither all accent nor all track
        assert tokens.accent.name() not in {image.pixelColor(x, 9).name() for x in range(131, 199)}

    def test_short_grams_are_dashed_in_signal_and_named(self, each_theme: Theme) -> None:
        tokens = current_tokens()
        bar = MaterialBar(1000, 300, 500)
        assert bar.short == 200
        assert bar.words.endswith("200 g short")
        edge = {painted(bar, tokens).pixelColor(x, 0).name() for x in range(62, 98)}
        assert tokens.signal.name() in edge
        assert tokens.well.name() in {painted(bar, tokens).pixelColor(x, 9).name() for x in range(64, 96)}

    def test_a_tick_at_the_minimum_and_a_bracket_for_the_doubt(self, each_theme: Theme) -> None:
        tokens = current_tokens()
        image = painted(MaterialBar(1000, 500, 0, minimum=250, plus_minus=100), tokens)
        assert at(image, 0.25, 9) == tokens.ink
        under = [x for x in range(WIDTH) if image.pixelColor(x, 24) != tokens.sheet]
        assert (min(under), max(under)) == pytest.approx((80, 120), abs=2)

    def test_an_empty_spool_of_no_size_is_only_a_track(self, each_theme: Theme) -> None:
        image = painted(MaterialBar(0, 0), current_tokens())
        assert at(image, 0.5, 9) == current_tokens().well

    def test_more_than_full_stays_on_the_track(self, each_theme: Theme) -> None:
        image = painted(MaterialBar(1000, 1200), current_tokens())
        assert at(image, 0.5, 9) == current_tokens().accent


class TestOtherBars:
    def test_time_is_thin_and_its_end_shows_when_over(self, each_theme: Theme) -> None:
        tokens = current_tokens()
        assert TimeBar(0.5).height < MaterialBar(1, 1).height / 2
        assert at(painted(TimeBar(0.5), tokens), 0.25, 4) == tokens.accent
        assert at(painted(TimeBar(0.5), tokens), 0.75, 4) == tokens.well
        assert at(painted(TimeBar(0.5, over=True), tokens), 0.9, 4) == tokens.ink2
        assert TimeBar(0.5, over=True).words == "planned end passed"
        assert TimeBar(0.5).words == "50 % of the time"

    def test_life_past_its_middle_is_signal(self, each_theme: Theme) -> None:
        tokens = current_tokens()
        assert at(painted(LifeBar(500, 400, 600, 800, 1000), tokens), 0.3, 9) == tokens.accent
        assert at(painted(LifeBar(610, 400, 600, 800, 1000), tokens), 0.3, 9) == tokens.signal
        image = painted(LifeBar(0, 400, 600, 800, 1000), tokens)
        assert at(image, 0.6, 22) == tokens.ink  # the triangle at the middle
        zone = [x for x in range(WIDTH) if image.pixelColor(x, 25) != tokens.sheet]
        assert (min(zone), max(zone)) == pytest.approx((80, 160), abs=2)

    def test_estimates_share_one_scale(self, each_theme: Theme) -> None:
        tokens = current_tokens()
        image = painted(EstimateBar(50, 75, 100), tokens)
        assert at(image, 0.4, 5) == tokens.accent
        assert at(image, 0.9, 5) == tokens.well
        assert at(painted(EstimateBar(50, 75, 100, on_tint=True), tokens), 0.9, 5) == tokens.sheet
        assert EstimateBar(48, 57, 100).words == "48 to 57 min"


def test_a_view_tells_its_bar_in_words(qtbot: QtBot, theme: Theme) -> None:
    view = BarView()
    qtbot.addWidget(view)
    assert view.accessibleName() == "no bar"
    view.grab()
    view.set_bar(LifeBar(340, 470, 600, 790))
    assert view.accessibleName() == "340 of about 600, wears out at 470 to 790"
    assert view.sizeHint().height() >= 30


class TestMarks:
    def test_a_nozzle_is_ink_only(self, qtbot: QtBot, each_theme: Theme) -> None:
        mark = NozzleMark("0.6")
        qtbot.addWidget(mark)
        mark.resize(mark.sizeHint())
        image = mark.grab().toImage()
        tokens = current_tokens()
        for x in range(10, 52):
            for y in range(4, 30):
                colour = image.pixelColor(x, y)
                parts = (colour.red(), colour.green(), colour.blue())
                assert max(parts) - min(parts) <= 16
        assert image.pixelColor(12, 6) == tokens.sheet
        assert mark.accessibleName() == "nozzle 0.6"
        mark.set_bore("")
        assert mark.accessibleName() == "no nozzle"
        mark.grab()

    def test_a_white_chip_on_white_still_has_a_border(self, qtbot: QtBot, theme: Theme) -> None:
        chip = SpoolChip("#FFFFFF", 50)
        qtbot.addWidget(chip)
        image = chip.grab().toImage()
        assert image.pixelColor(0, 25) == current_tokens().ink2
        chip.set_colour("#222222")
        assert chip.grab().toImage().pixelColor(6, 25).name() == "#222222"

    @pytest.mark.parametrize("name", list(ICONS))
    def test_every_icon_paints_something(self, qtbot: QtBot, theme: Theme, name: str) -> None:
        image = icon_pixmap(name, 24, QColor("black")).toImage()
        assert any(image.pixelColor(x, y).alpha() for x in range(24) for y in range(24))

    def test_an_icon_mark_follows_the_theme(self, qtbot: QtBot, theme: Theme) -> None:
        mark = IconMark("clock")
        qtbot.addWidget(mark)
        light = mark.grab().toImage()
        theme.set_dark(True)
        assert mark.grab().toImage() != light
        mark.show_icon("problem", "signal")
        assert not window_icon(QColor("black")).isNull()


def test_a_legend_explains_as_many_signs_as_fit(qtbot: QtBot, each_theme: Theme) -> None:
    for signs in (RUN_SIGNS, SPOOL_SIGNS):
        legend = Legend(signs)
        qtbot.addWidget(legend)
        legend.resize(1200, 30)
        wide = legend.grab().toImage()
        assert legend.accessibleName().endswith(signs[-1][1])
        assert any(wide.pixelColor(x, 15) != wide.pixelColor(1199, 0) for x in range(600, 1199))
        legend.resize(150, 30)
        legend.grab()
