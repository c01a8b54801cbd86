"""Advice on a model: kept beside its estimates, made anew when it no longer holds, shown with the request."""

from dataclasses import replace

import numpy as np
import pytest
from tests.core.estimating.solids import box, moved, together, without
from tests.services.fake import fake_shop
from tests.services.own_shop import Own, own_shop

from printcrib.core.advice import Advice, NozzleFit, Rest
from printcrib.core.errors import ShopError
from printcrib.core.estimating.features import places_from_json
from printcrib.core.shapes import TURNS, Mesh, ReadModel, extents_of, facts_of
from printcrib.services.advise_model import advice_of, keep_advice, look_over, turn_words
from printcrib.services.change_request import lay_on_face
from printcrib.services.edit_printers import change_printer, set_profile
from printcrib.services.estimate_task import estimate_request
from printcrib.services.interfaces import Shop
from printcrib.services.look_at_request import RequestPage, look_at_request


def finned() -> Mesh:
    """A foot with a wide top: it lies best on its side; a fin of 0.5 mm is too thin for all but 0.4."""
    return together(box(20, 20, 30), moved(box(60, 20, 10), -20, 0, 30), moved(box(0.5, 15, 30), 10, -15))


def wedge() -> Mesh:
    """A block whose top falls away."""
    points = [
        (0, 0, 0),
        (40, 0, 0),
        (40, 40, 0),
        (0, 40, 0),
        (0, 0, 30),
        (0, 40, 30),
        (40, 0, 7),
        (40, 40, 7),
    ]
    faces = [
        (0, 2, 1), (0, 3, 2), (0, 1, 6), (0, 6, 4), (1, 2, 7), (1, 7, 6),
        (2, 3, 5), (2, 5, 7), (3, 0, 4), (3, 4, 5), (4, 6, 7), (4, 7, 5),
    ]  # fmt: skip
    return Mesh(np.array(points, dtype=float), np.array(faces))


class OneModel:
    """Reads whatever it is given as one model and counts how often; writes a number for what it lays down."""

    def __init__(self, mesh: Mesh) -> None:
        self.mesh, self.reads = mesh, 0
        self.written: list[Mesh] = []

    def read(self, content: bytes, name: str) -> ReadModel:
        """The model, or one that was written."""
        self.reads += 1
        mesh = self.written[int(content.split()[1])] if content.startswith(b"laid") else self.mesh
        return ReadModel(mesh, facts_of(mesh, name), "stl")

    def read_merged(self, content: bytes, name: str) -> ReadModel:
        return self.read(content, name)

    def close(self) -> None:
        """Nothing is waiting."""

    def one_3mf(self, items: tuple[tuple[str, Mesh, tuple[float, float]], ...]) -> bytes:
        """Not asked for here."""
        raise NotImplementedError

    def stl(self, mesh: Mesh) -> bytes:
        """Its number."""
        self.written.append(mesh)
        return f"laid {len(self.written) - 1}".encode()


def shop_with(shop: Shop, mesh: Mesh) -> tuple[Own, OneModel]:
    reader = OneModel(mesh)
    own = own_shop(replace(shop, meshes=reader, mesh_writer=reader))
    return own, reader


def looked_over(own: Own, model_id: int) -> bool:
    """Whether there was something new to say on a model; it is kept then."""
    looked = look_over(own.shop, model_id, own.material())
    if looked is not None:
        assert "advice" in keep_advice(own.shop, own.press(), looked).changed
    return looked is not None


def estimated(own: Own) -> tuple[int, int]:
    """A request of Max with its estimates and advice, and the key of its model."""
    request = own.ask("Max", material_id=own.material())
    estimate_request(own.shop, own.press(), request)
    page = look_at_request(own.shop, request.id)
    assert page.model is not None
    assert looked_over(own, page.model.model.id)
    return request.id, page.model.model.id


def kept(own: Own, model_id: int) -> Advice:
    with own.shop.read() as uow:
        advice = advice_of(uow, model_id)
    assert advice is not None
    return advice


def test_what_is_lost_is_kept_with_its_places(shop: Shop) -> None:
    own, _ = shop_with(shop, finned())
    _, model_id = estimated(own)
    advice = kept(own, model_id)
    assert [fit.bore_um for fit in advice.nozzles] == [400, 600, 800]
    assert [fit.loses for fit in advice.nozzles] == [False, True, True]
    places = own.shop.files.get(advice.places)
    assert places_from_json(places, 0.44) == ()
    (place,) = places_from_json(places, 0.66)
    assert not place.welded
    assert advice.fit_of(600, 0.66, 0.3) == advice.nozzles[1]
    assert advice.fit_of(600, 0.7, 0.3) is None


def test_a_shop_without_a_worker_process_gets_the_same(shop: Shop) -> None:
    own, _ = shop_with(shop, finned())
    request = own.ask("Max", material_id=own.material())
    page = look_at_request(own.shop, request.id)
    assert page.model is not None
    here = look_over(replace(own.shop, worker=None), page.model.model.id, own.material())
    assert here is not None
    assert here == look_over(own.shop, page.model.model.id, own.material())


def test_a_model_with_holes_is_looked_over_as_it_is_estimated(shop: Shop) -> None:
    """Blocks without their lid are told what whole blocks are told."""
    told = []
    for mesh, of in ((without(box(40, 30, 20), 2, 3), shop), (box(40, 30, 20), fake_shop())):
        own, _ = shop_with(of, mesh)
        _, model_id = estimated(own)
        told.append(kept(own, model_id))
    torn, whole = told
    assert [fit.lost_percent for fit in torn.nozzles] == [fit.lost_percent for fit in whole.nozzles]
    ways = [{rest.turn: rest.minutes for rest in each.rests if rest.minutes is not None} for each in told]
    assert ways[0] == pytest.approx(ways[1], rel=1e-6)


def test_advice_is_made_once_and_anew_when_lines_or_printers_change(shop: Shop) -> None:
    own, reader = shop_with(shop, finned())
    _, model_id = estimated(own)
    first, reads = kept(own, model_id), reader.reads
    assert not looked_over(own, model_id)
    assert reader.reads == reads
    set_profile(own.shop, own.press(), own.printer("Left").id, 600, {"fill_speed_mm_s": 20.0})
    assert not looked_over(own, model_id)
    for bore in (400, 600):
        set_profile(own.shop, own.press(), own.printer("Left").id, bore, {"line_width_mm": 0.49})
    assert looked_over(own, model_id)
    second = kept(own, model_id)
    assert second.id == first.id
    assert second.made_for != first.made_for
    fit = second.fit_of(600, 0.49, 0.3)
    assert fit is not None
    assert not fit.loses
    change_printer(own.shop, own.press(), replace(own.printer("Right"), height_mm=777.0))
    assert looked_over(own, model_id)


def test_a_model_that_stands_nowhere_is_not_looked_over(shop: Shop) -> None:
    own, _ = shop_with(shop, box(900, 900, 900))
    request = own.ask("Max", material_id=own.material())
    estimate_request(own.shop, own.press(), request)
    page = look_at_request(own.shop, request.id)
    assert page.model is not None
    assert not looked_over(own, page.model.model.id)
    assert shown(own, request.id).advice is None


def shown(own: Own, request_id: int) -> RequestPage:
    return look_at_request(own.shop, request_id, own.who("Dora"))


def test_the_request_shows_what_is_lost_and_how_it_lies(shop: Shop) -> None:
    own, _ = shop_with(shop, finned())
    request_id, _ = estimated(own)
    advice = shown(own, request_id).advice
    assert advice is not None
    assert {bore: fit.loses for bore, fit in advice.fits.items()} == {400: False, 600: True, 800: True}
    assert advice.allowed == (400, 600)
    assert advice.rests[0].turn != 0
    assert advice.lies.startswith(f"It lies best {advice.rests[0].words}: {advice.rests[0].reason}, instead ")
    assert own.ask(file=None, words="x").size_id is None
    assert shown(own, own.ask(file=None, words="x").id).advice is None


def test_changed_lines_that_nobody_looked_at_say_nothing(shop: Shop) -> None:
    own, _ = shop_with(shop, finned())
    request_id, _ = estimated(own)
    for name in ("Left", "Right"):
        set_profile(own.shop, own.press(), own.printer(name).id, 400, {"line_width_mm": 0.5})
    advice = shown(own, request_id).advice
    assert advice is not None
    assert set(advice.fits) == {600, 800}


def test_lying_on_a_flat_face_is_a_file_of_its_own(shop: Shop) -> None:
    own, reader = shop_with(shop, wedge())
    request_id, model_id = estimated(own)
    rest = next(rest for rest in kept(own, model_id).rests if rest.turn is None)
    lay_on_face(own.shop, own.press("Max"), request_id, rest.down)
    page = shown(own, request_id)
    assert page.model is not None
    now = page.model.model
    assert (now.revision, now.turn, now.file_name) == ("B", 0, "box laid down.stl")
    assert now.extents_mm[2] == pytest.approx(rest.height_mm, abs=0.01)
    assert extents_of(reader.written[0]) == now.extents_mm
    assert looked_over(own, now.id)
    lying = kept(own, now.id)
    assert [fit.bore_um for fit in lying.nozzles] == [400, 600, 800]
    with own.shop.read() as uow:
        assert uow.models.get(model_id).file_name == "box.stl"


def test_only_a_model_of_ones_own_is_laid_down(shop: Shop) -> None:
    own = own_shop(shop)
    with pytest.raises(ShopError, match="no model yet"):
        lay_on_face(own.shop, own.press("Max"), own.ask(file=None, words="x").id, (0, 0, -1))
    listed = own.ask(file=None, size_id=own.size(own.pattern()).id)
    with pytest.raises(ShopError, match="pattern book"):
        lay_on_face(own.shop, own.press("Max"), listed.id, (0, 0, -1))


def test_what_is_said_of_how_it_lies() -> None:
    drawn = Rest("as drawn", 0, (0, 0, -1), 0, 12, 20, 40)
    side = Rest("front down", list(TURNS).index("+y/0"), (0, -1, 0), 3, 8, 60, 50)
    advice = Advice(model_id=1, made_for="", nozzles=(NozzleFit(400, 0.44, 0.2),), rests=(drawn, side))
    assert turn_words(advice, 2) == "It lies best as it is: no support, 20 mm tall, about 40 min."
    worse = "It lies best as drawn: no support, 20 mm tall, about 40 min"
    assert turn_words(advice, side.turn or 0) == f"{worse}, instead of 3.0 cm3 and 50 min as it is."
    assert turn_words(advice, 4) == f"{worse}."
    untried = replace(advice, rests=(drawn, replace(side, minutes=None)))
    assert turn_words(untried, side.turn or 0) == f"{worse}."
    assert turn_words(replace(advice, rests=()), 0) == ""
