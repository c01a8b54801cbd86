"""The table of colours: every pair that is used together can be told apart."""

import pytest
from PySide6.QtGui import QColor

from printcrib.screens.parts.tokens import DARK, LIGHT, TONES, Tokens, contrast

GROUNDS = {
    "ink": ("paper", "side", "sheet", "well", "closed", "tint", "signal_tint"),
    "ink2": ("paper", "side", "sheet", "well", "closed", "tint"),
    "accent": ("paper", "side", "sheet", "well", "tint"),
    "signal": ("paper", "sheet", "tint", "signal_tint"),
    "on_accent": ("accent", "pressed"),
    "on_signal": ("signal",),
    "sheet": ("ink2", "ink"),
}
GRAPHICS = {
    "edge": ("paper", "sheet", "well"),
    "mid": ("sheet", "closed"),
    "accent": ("sheet", "well", "tint", "signal_tint", "closed"),
    "signal": ("sheet", "well", "tint"),
    "ink": ("accent", "paper", "sheet"),
}


@pytest.mark.parametrize("tokens", [LIGHT, DARK], ids=["light", "dark"])
class TestEveryPair:
    def test_text_has_4_5_to_1(self, tokens: Tokens) -> None:
        colours = tokens.named()
        low = {
            (text, ground): contrast(colours[text], colours[ground])
            for text, grounds in GROUNDS.items()
            for ground in grounds
            if contrast(colours[text], colours[ground]) < 4.5
        }
        assert not low

    def test_graphics_have_3_to_1(self, tokens: Tokens) -> None:
        colours = tokens.named()
        pairs = [(mark, ground) for mark, grounds in GRAPHICS.items() for ground in grounds]
        pairs.remove(("ink", "accent"))  # the ring on a main button is on_accent, tested as text
        low = {pair: ratio for pair in pairs if (ratio := contrast(*(colours[n] for n in pair))) < 3.0}
        assert not low

    def test_every_tone_is_a_colour_of_the_table(self, tokens: Tokens) -> None:
        values = [colour.name() for colour in tokens.named().values()]
        assert all(tokens.of(tone).name() in values for tone in TONES)


def test_contrast_of_black_and_white_is_21_and_of_equals_1() -> None:
    # WCAG 2.2, definition of contrast ratio: ranges from 1 to 21.
    assert contrast(QColor("black"), QColor("white")) == pytest.approx(21.0)
    assert contrast(QColor("#777777"), QColor("#777777")) == pytest.approx(1.0)


def test_contrast_of_the_grey_on_the_edge_of_4_5() -> None:
    # #767676 on white is 4.54, the lightest grey that passes (from memory, widely published).
    assert contrast(QColor("#767676"), QColor("white")) == pytest.approx(4.54, abs=0.005)
