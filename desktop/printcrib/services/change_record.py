"""Records as JSON, and the chain of hashes that shows whether the change record was edited."""

import hashlib
import json
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, fields, is_dataclass
from datetime import UTC, datetime
from enum import StrEnum
from math import isfinite
from types import NoneType, UnionType
from typing import Any, TypeVar, Union, get_args, get_origin, get_type_hints

from printcrib.services.interfaces import Change

T = TypeVar("T")

FIRST_HASH = "0" * 64
"""Stands for the hash before the first change."""


@dataclass(frozen=True)
class Codec:
    """How one kind of value becomes JSON and comes back.

    Attributes:
        many: whether it is a list or a set of lines, which no condition looks into.
    """

    to_json: Callable[[Any], Any]
    from_json: Callable[[Any], Any]
    many: bool = False


def whole_milliseconds(moment: datetime) -> datetime:
    """The moment as the books keep it: aware UTC, whole milliseconds; a naive time is refused."""
    if moment.tzinfo is None:
        raise ValueError(f"a time without its zone: {moment}")
    moment = moment.astimezone(UTC)
    return moment.replace(microsecond=moment.microsecond // 1000 * 1000)


def _moment_to_json(moment: datetime) -> str:
    return whole_milliseconds(moment).isoformat(timespec="milliseconds")


def _finite(number: float) -> float:
    if not isfinite(number):
        raise ValueError(f"{number} has no place in the books")
    return float(number)


_KNOWN: dict[Any, Codec] = {
    int: Codec(int, int),
    float: Codec(_finite, float),
    str: Codec(str, str),
    bool: Codec(bool, bool),
    datetime: Codec(_moment_to_json, datetime.fromisoformat),
}


def codec_of(hint: Any) -> Codec:
    """How values of a type become JSON and come back.

    Raises:
        TypeError: the type has no place in a record.
    """
    if hint not in _KNOWN:
        _KNOWN[hint] = _new_codec(hint)
    return _KNOWN[hint]


def _new_codec(hint: Any) -> Codec:
    origin = get_origin(hint)
    if origin in (Union, UnionType):
        return _or_none(hint)
    if origin is tuple:
        return _tuple_of(get_args(hint))
    if origin is dict:
        inner = codec_of(get_args(hint)[1])
        return Codec(_each_value(inner.to_json), _each_value(inner.from_json), many=True)
    if isinstance(hint, type) and issubclass(hint, StrEnum):
        return Codec(lambda value: hint(value).value, hint)
    if isinstance(hint, type) and is_dataclass(hint):
        return _dataclass_of(hint)
    raise TypeError(f"{hint} has no place in a record")


def _each_value(convert: Callable[[Any], Any]) -> Callable[[Any], Any]:
    return lambda values: {str(key): convert(value) for key, value in values.items()}


def _or_none(hint: Any) -> Codec:
    (inner,) = (codec_of(part) for part in get_args(hint) if part is not NoneType)
    return Codec(
        lambda value: None if value is None else inner.to_json(value),
        lambda value: None if value is None else inner.from_json(value),
        inner.many,
    )


def _tuple_of(parts: tuple[Any, ...]) -> Codec:
    if parts[-1] is Ellipsis:
        inner = codec_of(parts[0])
        return Codec(
            lambda values: [inner.to_json(value) for value in values],
            lambda values: tuple(inner.from_json(value) for value in values),
            many=True,
        )
    codecs = tuple(codec_of(part) for part in parts)
    return Codec(
        lambda values: [codec.to_json(value) for codec, value in zip(codecs, values, strict=True)],
        lambda values: tuple(codec.from_json(value) for codec, value in zip(codecs, values, strict=True)),
        many=True,
    )


def _dataclass_of(kind: type[Any]) -> Codec:
    codecs = field_codecs(kind)

    def to_dict(value: Any) -> dict[str, Any]:
        return {name: codec.to_json(getattr(value, name)) for name, codec in codecs.items()}

    def from_dict(values: Mapping[str, Any]) -> Any:
        return kind(
            **{name: codecs[name].from_json(value) for name, value in values.items() if name in codecs}
        )

    return Codec(to_dict, from_dict)


_FIELDS: dict[type[Any], Mapping[str, Codec]] = {}


def field_codecs(kind: type[Any]) -> Mapping[str, Codec]:
    """The fields of a kind of record in their order, each with how it becomes JSON."""
    if kind not in _FIELDS:
        hints = get_type_hints(kind)
        _FIELDS[kind] = {field.name: codec_of(hints[field.name]) for field in fields(kind)}
    return _FIELDS[kind]


def to_json(record: Any) -> dict[str, Any]:
    """A record as the change record keeps it: text, numbers, lists and nothing else."""
    values: dict[str, Any] = codec_of(type(record)).to_json(record)
    return values


def from_json(kind: type[T], values: Mapping[str, Any]) -> T:
    """The record again; fields dropped since are passed over, missing ones get their usual value."""
    record: T = codec_of(kind).from_json(values)
    return record


def canonical(value: Any) -> str:
    """JSON text that is the same for the same values, so that its hash is too."""
    return json.dumps(value, ensure_ascii=False, sort_keys=True, separators=(",", ":"), allow_nan=False)


def chain_hash(previous_hash: str, values: Mapping[str, Any]) -> str:
    """SHA-256 over the hash before and every other field of a change."""
    return hashlib.sha256(f"{previous_hash}\n{canonical(values)}".encode()).hexdigest()


def hashed_fields(change: Change) -> dict[str, Any]:
    """What the hash of a change covers: everything but the two hashes."""
    values = {
        field.name: getattr(change, field.name)
        for field in fields(change)
        if field.name not in ("previous_hash", "hash")
    }
    for name in ("recorded_at", "happened_at"):
        values[name] = _moment_to_json(values[name])
    return values


def chain_faults(changes: Iterable[Change]) -> Iterator[str]:
    """Sentences on every break of the chain, for changes oldest first from the first one on."""
    before, number = FIRST_HASH, 0
    for change in changes:
        if change.number != number + 1:
            yield f"Change {change.number} follows change {number}; what was between them is gone."
        if change.previous_hash != before:
            yield f"Change {change.number} does not follow on from the one before it."
        if chain_hash(change.previous_hash, hashed_fields(change)) != change.hash:
            yield f"Change {change.number} was altered after it was booked."
        before, number = change.hash, change.number
