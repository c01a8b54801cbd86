"""Look at the pattern book: patterns, their sizes, models, spares and releases, ready to show."""

from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, replace

from printcrib.core.aids import Aid, AidState
from printcrib.core.calendar import moment_words
from printcrib.core.patterns import Model, Pattern, Size
from printcrib.core.releases import SizeRelease
from printcrib.core.safety import Caution, cautions_for, is_live, question_words
from printcrib.core.shapes import size_words
from printcrib.services.interfaces import Shop, UnitOfWork, Where, among, is_
from printcrib.services.look_at_requests import by_key
from printcrib.services.read_calendar import zone_of
from printcrib.services.release_use import release_words


@dataclass(frozen=True, kw_only=True)
class PatternRow:
    """One pattern as the book lists it.

    Attributes:
        life: "3000 clamp cycles", "" when unknown. short: spares missing below the sizes' minimums.
    """

    pattern: Pattern
    tag: str
    name: str
    kind: str
    material: str
    how_fine: str
    life: str
    sizes: int
    in_use: int
    spares: int
    short: int


@dataclass(frozen=True, kw_only=True)
class SizeLine:
    """One size with its model, spares and release.

    Attributes:
        revision: "" without a model. release: in words, "" for none that holds. extents: "150 x 90 x 12 mm".
        earlier: releases that lapsed or were given for another revision, newest first, in words.
    """

    size: Size
    name: str
    model: Model | None
    revision: str
    extents: str
    findings: tuple[str, ...]
    release: str
    in_use: int
    spares: int
    minimum_spares: int
    shelf_place: str
    source: str
    earlier: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class PatternPage:
    """All of one pattern.

    Attributes:
        safety: its answers in words. inserts: "2 x magnet 6 x 3".
    """

    row: PatternRow
    pattern: Pattern
    sizes: tuple[SizeLine, ...]
    safety: str
    steps: tuple[str, ...]
    inserts: tuple[str, ...]
    cautions: tuple[Caution, ...]


def look_at_patterns(shop: Shop, text: str = "") -> tuple[PatternRow, ...]:
    """The pattern book by name; with a text, patterns that have it in their or a size's name or kind."""
    with shop.read() as uow:
        patterns = _found(uow, text.strip())
        sizes = uow.sizes.find(among("pattern_id", (each.id for each in patterns)), is_("active", True))
        aids = _aids(uow, sizes)
        materials = {material.id: material.name for material in uow.materials.find()}
        return tuple(_row(pattern, sizes, aids, materials) for pattern in patterns)


def look_at_pattern(shop: Shop, pattern_id: int) -> PatternPage:
    """One pattern with its sizes."""
    with shop.read() as uow:
        pattern = uow.patterns.get(pattern_id)
        sizes = uow.sizes.find(is_("pattern_id", pattern.id), is_("active", True), order_by="name")
        aids = _aids(uow, sizes)
        materials = by_key(uow.materials.find())
        names = {material.id: material.name for material in materials.values()}
        answers = pattern.safety_answers
        return PatternPage(
            row=_row(pattern, sizes, aids, names),
            pattern=pattern,
            sizes=_size_lines(uow, sizes, aids),
            safety="not answered" if answers is None else question_words(answers) or "none of these",
            steps=pattern.finishing_steps,
            inserts=_inserts(uow, pattern),
            cautions=cautions_for(answers or (), materials.get(pattern.material_id or 0), _topics(pattern)),
        )


def _found(uow: UnitOfWork, text: str) -> tuple[Pattern, ...]:
    listed = uow.patterns.find(is_("listed", True), order_by="name")
    if not text:
        return listed
    by_size = {size.pattern_id for size in uow.sizes.find(Where("name", "contains", text))}
    wanted = text.casefold()
    return tuple(
        pattern
        for pattern in listed
        if pattern.id in by_size or wanted in f"{pattern.tag} {pattern.name} {pattern.kind}".casefold()
    )


def _aids(uow: UnitOfWork, sizes: Iterable[Size]) -> tuple[Aid, ...]:
    return uow.aids.find(
        among("size_id", (size.id for size in sizes)), Where("state", "!=", AidState.RETIRED)
    )


def _row(
    pattern: Pattern, sizes: Iterable[Size], aids: Iterable[Aid], materials: dict[int, str]
) -> PatternRow:
    mine = [size for size in sizes if size.pattern_id == pattern.id]
    keys = {size.id for size in mine}
    spares = _count(aids, AidState.SHELF)
    in_use = _count(aids, AidState.IN_USE)
    life = pattern.expected_life
    return PatternRow(
        pattern=pattern,
        tag=pattern.tag,
        name=pattern.name,
        kind=pattern.kind,
        material=f"{materials.get(pattern.material_id or 0, '')} {pattern.colour}".strip(),
        how_fine=pattern.how_fine.value,
        life="" if life is None else f"{life} {pattern.use_unit}",
        sizes=len(mine),
        in_use=sum(in_use[key] for key in keys),
        spares=sum(spares[key] for key in keys),
        short=sum(max(0, size.minimum_spares - spares[size.id]) for size in mine),
    )


def _count(aids: Iterable[Aid], state: AidState) -> Counter[int]:
    """Aids in a state by size; a shelved aid that was in use is no spare, but lies there all the same."""
    return Counter(aid.size_id for aid in aids if aid.state is state)


def _size_lines(uow: UnitOfWork, sizes: tuple[Size, ...], aids: tuple[Aid, ...]) -> tuple[SizeLine, ...]:
    models = by_key(uow.models.find(among("id", {size.model_id for size in sizes} - {None})))
    live, earlier = _releases(uow, sizes)
    spares, in_use = _count(aids, AidState.SHELF), _count(aids, AidState.IN_USE)
    return tuple(
        replace(
            _size_line(size, models.get(size.model_id or 0), in_use, spares),
            release=live.get(size.id, ""),
            earlier=tuple(earlier[size.id]),
        )
        for size in sizes
    )


def _size_line(size: Size, model: Model | None, in_use: Counter[int], spares: Counter[int]) -> SizeLine:
    return SizeLine(
        size=size,
        name=size.name,
        model=model,
        revision=model.revision if model else "",
        extents=size_words(model.extents_mm) if model else "",
        findings=tuple(words for _, words in model.findings) if model else (),
        release="",
        in_use=in_use[size.id],
        spares=spares[size.id],
        minimum_spares=size.minimum_spares,
        shelf_place=size.shelf_place,
        source=", ".join(words for words in (model.source, model.licence) if words) if model else "",
    )


def _releases(uow: UnitOfWork, sizes: tuple[Size, ...]) -> tuple[dict[int, str], defaultdict[int, list[str]]]:
    """In words, by size: the newest release that holds for its current revision; the others, newest first."""
    found = uow.releases.find(among("size_id", (size.id for size in sizes)), newest_first=True)
    revisions = {model.id: model.revision for model in uow.models.find(among("id", _models_of(found)))}
    people = {person.id: person.name for person in uow.people.find()}
    zone = zone_of(uow)
    current = {size.id: size.model_id for size in sizes}
    live: dict[int, str] = {}
    earlier: defaultdict[int, list[str]] = defaultdict(list)
    for release in found:
        words = release_words(
            release,
            lambda person_id: people.get(person_id, "the tool"),
            lambda moment: moment_words(uow.now, moment, zone),
        )
        holds = release.model_id == current[release.size_id] and is_live(release, uow.now)
        if holds and release.size_id not in live:
            live[release.size_id] = words
        else:
            earlier[release.size_id].append(f"revision {revisions[release.model_id]}, {words}")
    return live, earlier


def _models_of(releases: Iterable[SizeRelease]) -> set[int]:
    return {release.model_id for release in releases}


def _inserts(uow: UnitOfWork, pattern: Pattern) -> tuple[str, ...]:
    names = {insert.id: insert.name for insert in uow.inserts.find()}
    return tuple(f"{count} x {names.get(key, 'insert')}" for key, count in pattern.inserts)


def _topics(pattern: Pattern) -> tuple[str, ...]:
    topics = ("take out",) if pattern.take_out_before_start else ()
    return (*topics, "magnets") if pattern.inserts else topics
