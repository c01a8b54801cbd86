"""Mending a model: a file of its own, a new revision, the given file untouched, undone at one press."""

from dataclasses import replace

import pytest
from tests.services.own_shop import Own, own_shop

from printcrib.core.errors import ShopError
from printcrib.core.mending import Mend
from printcrib.core.patterns import Model
from printcrib.core.requests import Request
from printcrib.core.shapes import Mesh, ReadModel, extents_of
from printcrib.services.accept_request import accept_request
from printcrib.services.change_request import choose_size, mend_model
from printcrib.services.edit_patterns import mend_size
from printcrib.services.interfaces import MeshWriter, Shop, is_
from printcrib.services.mend_model import mended, still_current
from printcrib.services.read_model import ModelFile, mesh_of
from printcrib.services.take_request import same_again
from printcrib.services.undo_press import undo

INCHES = ModelFile(content=b"box 6 4 1", name="bracket.stl", source="the maker", licence="CC BY 4.0")
OVERLAP = ("overlapping", "Bodies overlap.")


class BoxWriter:
    """Writes a box so that the reader of these tests can read it again."""

    def stl(self, mesh: Mesh) -> bytes:
        return ("box " + " ".join(f"{edge:.6g}" for edge in extents_of(mesh))).encode()


@pytest.fixture
def own(shop: Shop) -> Own:
    writer: MeshWriter = BoxWriter()  # type: ignore[assignment]
    return own_shop(replace(shop, mesh_writer=writer))


def models(own: Own) -> tuple[Model, ...]:
    with own.shop.read() as uow:
        return uow.models.find()


def current(own: Own, request: Request) -> Model:
    with own.shop.read() as uow:
        size = uow.sizes.get(uow.requests.get(request.id).size_id or 0)
        return uow.models.get(size.model_id or 0)


def found(own: Own, request: Request, *findings: tuple[str, str]) -> Model:
    """What the reader says of the request's model."""
    with own.shop.write(own.press(), "read again") as uow:
        model = uow.models.save(replace(uow.models.get(current(own, request).id), findings=findings))
        uow.commit()
        return model


def test_inches_become_millimetres_in_a_file_of_its_own(own: Own) -> None:
    request = own.ask("Max", file=INCHES)
    before = current(own, request)
    assert before.findings[0][0] == "units_small"
    done = mend_model(own.shop, own.press("Max"), request.id, Mend.INCH)
    after = current(own, request)
    assert (after.revision, after.mended) == ("B", "scaled x 25.4 from revision A")
    assert (after.file_name, after.unit_scale) == ("bracket, scaled x 25.4.stl", 1.0)
    assert (after.source, after.licence) == ("the maker", "CC BY 4.0")
    assert after.extents_mm == pytest.approx((152.4, 101.6, 25.4))
    assert after.findings == ()
    assert done.value.request.id == request.id
    assert own.shop.files.get(before.sha256) == INCHES.content
    assert own.shop.files.get(after.sha256) == b"box 152.4 101.6 25.4"
    assert [model for model in models(own) if model.id == before.id] == [before]


def test_a_mend_is_undone_at_one_press(own: Own) -> None:
    request = own.ask("Max", file=INCHES)
    before = current(own, request)
    done = mend_model(own.shop, own.press("Max"), request.id, Mend.INCH)
    undo(own.shop, own.press("Max"), done.press_number or 0)
    assert current(own, request) == replace(before, version=current(own, request).version)


def test_a_mended_accepted_request_is_estimated_and_planned_again(own: Own) -> None:
    request = own.ask("Max", file=INCHES, safety_answers=(), material_id=own.material())
    accept_request(own.shop, own.press(), request.id)
    done = mend_model(own.shop, own.press(), request.id, Mend.INCH)
    assert done.value.trouble == ""
    with own.shop.read() as uow:
        assert uow.estimates.find(is_("model_id", current(own, request).id))


def test_what_the_file_is_scaled_by_already_is_kept(own: Own) -> None:
    request = own.ask("Max", file=replace(INCHES, content=b"box 2 1 0.5", unit_scale=2.0))
    mend_model(own.shop, own.press("Max"), request.id, Mend.INCH)
    assert current(own, request).extents_mm == pytest.approx((4 * 25.4, 2 * 25.4, 25.4))


def test_a_chosen_turn_is_kept(own: Own) -> None:
    request = own.ask("Max", file=replace(INCHES, turn=4))
    mend_model(own.shop, own.press("Max"), request.id, Mend.INCH)
    assert current(own, request).turn == 4


@pytest.mark.parametrize(
    ("finding", "mend", "words"),
    [
        (("inside_out", "The faces point inwards."), Mend.TURN_ROUND, "turned round from revision A"),
        (OVERLAP, Mend.MERGE, "merged from revision A"),
    ],
)
def test_turning_round_and_merging_keep_the_size(
    own: Own, finding: tuple[str, str], mend: Mend, words: str
) -> None:
    request = own.ask("Max")
    before = found(own, request, finding)
    mend_model(own.shop, own.press("Max"), request.id, mend)
    after = current(own, request)
    assert (after.mended, after.findings, after.turn) == (words, (), before.turn)
    assert after.extents_mm == pytest.approx(before.extents_mm)
    assert mesh_of(own.shop, after).vertices.max() == pytest.approx(mesh_of(own.shop, before).vertices.max())


def test_merging_asks_the_reader_for_one_body(own: Own, monkeypatch: pytest.MonkeyPatch) -> None:
    request = own.ask("Max")
    model = found(own, request, OVERLAP)

    def refuse(content: bytes, name: str) -> ReadModel:
        raise ShopError(f"The bodies of {name} cannot be merged: one of them touches itself", "By hand.")

    monkeypatch.setattr(own.shop.meshes, "read_merged", refuse)
    with pytest.raises(ShopError, match="cannot be merged"):
        mended(own.shop, model, Mend.MERGE)
    with pytest.raises(ShopError, match="cannot be merged"):
        mend_model(own.shop, own.press("Max"), request.id, Mend.MERGE)
    assert current(own, request) == model


def test_only_what_a_finding_asks_for_is_done(own: Own) -> None:
    request = own.ask("Max")
    with pytest.raises(ShopError, match=r"does not need that: scale x 25.4"):
        mend_model(own.shop, own.press("Max"), request.id, Mend.INCH)
    assert len(models(own)) == 1


def test_no_model_and_a_model_of_the_book_are_refused(own: Own) -> None:
    words = own.ask("Max", file=None, words="a stop")
    with pytest.raises(ShopError, match="has no model yet"):
        mend_model(own.shop, own.press("Max"), words.id, Mend.INCH)
    size = own.size(own.pattern(), file=INCHES).id
    choose_size(own.shop, own.press(), words.id, size)
    with pytest.raises(ShopError, match=r"in the pattern book. Mend its model in the pattern book"):
        mend_model(own.shop, own.press(), words.id, Mend.INCH)


def test_a_size_of_the_book_is_mended_there(own: Own) -> None:
    size = own.size(own.pattern(), file=INCHES).id
    model = mend_size(own.shop, own.press(), size, Mend.INCH).value
    assert (model.size_id, model.revision, model.mended) == (size, "B", "scaled x 25.4 from revision A")
    other = own.size(own.pattern("another"), file=INCHES).id
    with pytest.raises(ShopError, match="may edit the pattern book"):
        mend_size(own.shop, own.press("Max"), other, Mend.INCH)


def test_a_size_without_a_model_has_nothing_to_mend(own: Own) -> None:
    with pytest.raises(ShopError, match="has no model yet"):
        mend_size(own.shop, own.press(), own.size(own.pattern(), file=None).id, Mend.INCH)


def test_a_model_changed_meanwhile_is_not_mended(own: Own) -> None:
    request = own.ask("Max", file=INCHES)
    model = current(own, request)
    still_current(model, model.id)
    with pytest.raises(ShopError, match="changed meanwhile"):
        still_current(model, model.id + 1)


def test_a_size_shared_by_two_requests_stays_for_the_other(own: Own) -> None:
    first = own.ask("Max", file=INCHES)
    second = same_again(own.shop, own.press("Max"), first.id).value
    mend_model(own.shop, own.press("Max"), second.id, Mend.INCH)
    assert current(own, first).revision == "A"
    assert current(own, second).mended == "scaled x 25.4 from revision A"
