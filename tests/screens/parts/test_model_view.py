"""The model's picture: silhouettes against closed forms, and turning it."""

import numpy as np
import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot
from tests.screens.checks import faults_of
from tests.screens.hands import key, press

from printcrib.screens.parts.buttons import Button
from printcrib.screens.parts.model_view import ModelPanel, ModelView
from printcrib.screens.parts.raster import Floats, Ints, View, coarser, see, shade, turned
from printcrib.screens.parts.tokens import current_tokens
from printcrib.screens.shell.theme import Theme


def block(x: float, y: float, z: float) -> tuple[Floats, Ints]:
    """A block by its twelve triangles."""
    points = np.array([[i * x, j * y, k * z] for i in (0, 1) for j in (0, 1) for k in (0, 1)], dtype=float)
    squares = ((0, 1, 3, 2), (4, 6, 7, 5), (0, 4, 5, 1), (2, 3, 7, 6), (0, 2, 6, 4), (1, 5, 7, 3))
    faces = [t for a, b, c, d in squares for t in ((a, b, c), (a, c, d))]
    return points, np.array(faces)


def ball(radius: float, rings: int) -> tuple[Floats, Ints]:
    """A ball of many small faces."""
    points, faces = [], []
    for i in range(rings + 1):
        for j in range(2 * rings):
            a, b = np.pi * i / rings, np.pi * j / rings
            points.append(
                (radius * np.sin(a) * np.cos(b), radius * np.sin(a) * np.sin(b), radius * np.cos(a))
            )
            if i < rings:
                at, beside = i * 2 * rings + j, i * 2 * rings + (j + 1) % (2 * rings)
                faces += [(at, beside, beside + 2 * rings), (at, beside + 2 * rings, at + 2 * rings)]
    return np.array(points), np.array(faces)


class TestSilhouettes:
    def test_a_block_from_the_front_is_its_rectangle(self) -> None:
        seen = see(*block(40, 20, 10), View(0, 0), 400, 400)
        rows, columns = np.nonzero(seen.face >= 0)
        wide, high = np.ptp(columns) + 1, np.ptp(rows) + 1
        assert wide / high == pytest.approx(40 / 10, rel=0.02)
        assert (seen.face >= 0).sum() == pytest.approx(wide * high, rel=0.02)

    def test_a_block_from_above_is_its_base(self) -> None:
        seen = see(*block(40, 20, 10), View(0, 90), 400, 400)
        rows, columns = np.nonzero(seen.face >= 0)
        assert (np.ptp(columns) + 1) / (np.ptp(rows) + 1) == pytest.approx(2, rel=0.02)

    @pytest.mark.parametrize("view", [View(0, 0), View(37, 20), View(-80, 75)])
    def test_a_ball_is_a_disc_from_everywhere(self, view: View) -> None:
        seen = see(*ball(10, 48), view, 300, 300)
        rows, columns = np.nonzero(seen.face >= 0)
        radius = (np.ptp(columns) + 1) / 2
        assert np.ptp(rows) + 1 == pytest.approx(2 * radius, abs=2)
        assert (seen.face >= 0).sum() == pytest.approx(np.pi * radius**2, rel=0.02)

    def test_the_nearer_face_hides_the_farther(self) -> None:
        front = np.array([[0.0, 0, 0], [9, 0, 0], [0, 0, 9]])
        behind = front + np.array([0, 5, 0])
        points = np.concatenate([behind, front])
        seen = see(points, np.array([[0, 1, 2], [3, 4, 5]]), View(0, 0), 100, 100)
        assert set(np.unique(seen.face)) == {-1, 1}

    def test_up_stays_up_and_axes_stay_square(self) -> None:
        for view in (View(0, 0), View(30, 40), View(200, -20)):
            matrix = turned(view)
            assert np.allclose(matrix @ matrix.T, np.eye(3))
            assert (matrix @ [0, 0, 1])[1] <= 0  # the model's up points up on the picture
            assert np.linalg.det(matrix) == pytest.approx(-1.0) or np.linalg.det(matrix) == pytest.approx(1.0)

    def test_outlines_are_drawn_and_flat_faces_have_no_lines_inside(self) -> None:
        seen = see(*block(40, 20, 10), View(0, 0), 200, 200)
        grey = shade(seen, 100, 240, 0)[..., 0]
        rows, columns = np.nonzero(seen.face >= 0)
        inner = grey[rows.min() + 4 : rows.max() - 3, columns.min() + 4 : columns.max() - 3]
        assert len(np.unique(inner)) == 1
        assert (grey[rows.min(), columns.min() + 5 : columns.max() - 5] == 0).all()

    def test_a_coarser_model_has_the_same_size_and_fewer_faces(self) -> None:
        points, faces = ball(10, 60)
        fewer_points, fewer_faces = coarser(points, faces, 12)
        assert len(fewer_faces) < len(faces) / 4
        assert np.allclose(np.ptp(fewer_points, axis=0), np.ptp(points, axis=0), atol=2)


@pytest.fixture
def panel(qtbot: QtBot, theme: Theme) -> ModelPanel:
    made = ModelPanel()
    qtbot.addWidget(made)
    made.resize(360, 320)
    with qtbot.waitActive(made):
        made.show()
    return made


class TestView:
    def test_says_why_there_is_no_model(self, panel: ModelPanel) -> None:
        panel.view.clear("Needs a model")
        empty = panel.grab().toImage()
        panel.view.set_model(*block(40, 20, 10), "10 mm")
        assert panel.grab().toImage() != empty
        panel.view.clear("Needs a model")
        assert panel.grab().toImage() == empty
        panel.view.turn(10)
        panel.view.zoom(2)

    def test_keys_turn_and_home_brings_it_back(self, panel: ModelPanel) -> None:
        view = panel.view
        view.set_model(*block(40, 20, 10))
        at_first = view._view
        for code in (
            Qt.Key.Key_Left,
            Qt.Key.Key_Up,
            Qt.Key.Key_Plus,
            Qt.Key.Key_Minus,
            Qt.Key.Key_Down,
            Qt.Key.Key_Right,
        ):
            before = view._view
            key(view, code)
            assert view._view != before
        key(view, Qt.Key.Key_Home)
        assert view._view == at_first

    def test_buttons_turn_it(self, panel: ModelPanel) -> None:
        panel.view.set_model(*block(40, 20, 10))
        for button in panel.findChildren(Button):
            before = panel.view._view
            press(button)
            assert panel.view._view != before
        assert faults_of(panel) == []

    def test_the_mouse_drags_and_the_wheel_zooms(self, qtbot: QtBot, panel: ModelPanel) -> None:
        view = panel.view
        view.set_model(*block(40, 20, 10))
        before = view._view
        assert before is not None
        left = Qt.MouseButton.LeftButton
        QTest.mousePress(view, left, Qt.KeyboardModifier.NoModifier, QPoint(50, 50))
        QTest.mouseMove(view, QPoint(90, 70))
        QTest.mouseRelease(view, left, Qt.KeyboardModifier.NoModifier, QPoint(90, 70))
        turned_to = view._view
        assert turned_to is not None
        assert turned_to.turn != before.turn
        at = QPointF(50, 50)
        wheel = QWheelEvent(
            at,
            at,
            QPoint(),
            QPoint(0, 120),
            Qt.MouseButton.NoButton,
            Qt.KeyboardModifier.NoModifier,
            Qt.ScrollPhase.NoScrollPhase,
            False,
        )
        QApplication.sendEvent(view, wheel)
        assert view._view is not None
        assert view._view.zoom > turned_to.zoom

    def test_it_is_sharp_again_at_rest(self, qtbot: QtBot, panel: ModelPanel) -> None:
        view = panel.view
        view.set_model(*block(40, 20, 10))
        view.turn(30)
        view.grab()
        assert view._seen is not None
        assert view._seen.face.shape == (view.height(), view.width())
        qtbot.waitUntil(lambda: not view._turning)
        view.grab()
        assert view._seen.face.shape == (2 * view.height(), 2 * view.width())

    def test_follows_the_theme_and_keeps_its_picture_otherwise(self, panel: ModelPanel, theme: Theme) -> None:
        view = panel.view
        view.set_model(*block(40, 20, 10))
        view.grab()
        kept = view._picture
        view.grab()
        assert view._picture is kept
        theme.set_dark(True)
        image = view.grab().toImage()
        assert view._picture is not kept
        assert image.pixelColor(5, view.height() // 2) == current_tokens().well

    def test_a_large_model_is_shown_coarser(self, panel: ModelPanel) -> None:
        points, faces = ball(10, 200)
        assert len(faces) > 60_000
        panel.view.set_model(points, faces)
        assert panel.view._mesh is not None
        assert len(panel.view._mesh[1]) <= 160_000
        assert panel.view._quick is not None
        assert len(panel.view._quick[1]) < 15_000

    def test_a_large_model_is_first_quick_then_fine(self, qtbot: QtBot, panel: ModelPanel) -> None:
        view = panel.view
        view.set_model(*ball(10, 110))
        view.grab()
        assert view._seen is not None
        assert view._seen.face.shape == (view.height(), view.width())
        qtbot.waitUntil(lambda: not view._turning)
        assert view._seen.face.shape == (2 * view.height(), 2 * view.width())
        panel.resize(500, 400)
        view.grab()
        assert view._turning
        qtbot.waitUntil(lambda: not view._turning)


def test_a_view_alone_paints_on_the_well(qtbot: QtBot, each_theme: Theme) -> None:
    view = ModelView()
    qtbot.addWidget(view)
    view.resize(200, 200)
    assert view.grab().toImage().pixelColor(8, 100) == current_tokens().well
