"""Look at what was printed outside the pattern book and may be moved into it."""

from collections.abc import Iterable
from dataclasses import dataclass

from printcrib.core.patterns import Model, Size
from printcrib.core.requests import Request
from printcrib.core.shapes import size_words
from printcrib.services.interfaces import Shop, UnitOfWork, among, is_
from printcrib.services.look_at_requests import by_key

MOST = 500
"""One-offs listed at most, the newest."""


@dataclass(frozen=True, kw_only=True)
class OutsideLine:
    """One size that is not in the book: a one-off, or a size that was taken out.

    Attributes:
        name: what it is, in the words of its request or its model's file.
        second: where it comes from and how large it is.
        suggested: a name for it in the book, "" where it has none yet.
    """

    size: Size
    name: str
    second: str
    suggested: str = ""


def look_at_outside(shop: Shop, pattern_id: int) -> tuple[OutsideLine, ...]:
    """What may be moved into a pattern: its own sizes that were taken out, then one-offs, newest first."""
    with shop.read() as uow:
        pattern = uow.patterns.get(pattern_id)
        unlisted = (each.id for each in uow.patterns.find(is_("listed", False)))
        out = uow.sizes.find(is_("pattern_id", pattern.id), is_("active", False), order_by="name")
        single = uow.sizes.find(among("pattern_id", unlisted), newest_first=True, limit=MOST)
        models = _models(uow, (*out, *single))
        requests = _first_requests(uow, single)
        return (
            *(_taken_out(size, models.get(size.id), pattern.tag) for size in out),
            *(_one_off(size, models.get(size.id), requests.get(size.id)) for size in single),
        )


def _models(uow: UnitOfWork, sizes: Iterable[Size]) -> dict[int, Model]:
    """Current models by size."""
    current = {size.id: size.model_id for size in sizes if size.model_id is not None}
    models = by_key(uow.models.find(among("id", current.values())))
    return {size_id: models[model_id] for size_id, model_id in current.items()}


def _first_requests(uow: UnitOfWork, sizes: Iterable[Size]) -> dict[int, Request]:
    found = uow.requests.find(among("size_id", (size.id for size in sizes)), newest_first=True)
    return {request.size_id: request for request in found if request.size_id is not None}


def _taken_out(size: Size, model: Model | None, tag: str) -> OutsideLine:
    second = ", ".join((f"taken out of {tag}", *_model_words(model)))
    return OutsideLine(size=size, name=size.name, second=second, suggested=size.name)


def _one_off(size: Size, model: Model | None, request: Request | None) -> OutsideLine:
    words = request.words.strip() if request is not None else ""
    asked = request.tag if request is not None else size.name
    name = words or (model.file_name if model is not None else size.name)
    suggested = "" if request is not None and size.name == request.tag else size.name
    second = ", ".join((asked, *_model_words(model)))
    return OutsideLine(size=size, name=name, second=second, suggested=suggested)


def _model_words(model: Model | None) -> tuple[str, ...]:
    if model is None:
        return ("no model yet",)
    return f"revision {model.revision}", size_words(model.extents_mm)
