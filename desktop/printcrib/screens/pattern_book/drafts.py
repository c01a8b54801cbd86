"""What was typed and not kept yet: as changes to a record, so that it stands beside anybody else's. No Qt."""

import json
from collections.abc import Iterable, Mapping
from dataclasses import fields, replace
from enum import Enum
from typing import Any, TypeVar

from printcrib.core.records import Record

R = TypeVar("R", bound=Record)
Changes = dict[str, Any]

_NOT_TYPED = frozenset(field.name for field in fields(Record)) | {"number", "listed", "model_id"}


def changes_between(before: R, after: R) -> Changes:
    """The fields a person changed, with what is in them now."""
    return {
        field.name: getattr(after, field.name)
        for field in fields(before)
        if field.name not in _NOT_TYPED and getattr(after, field.name) != getattr(before, field.name)
    }


def with_changes(record: R, changes: Mapping[str, Any]) -> R:
    """A record with what was typed laid over it; fields it does not have are left out."""
    known = {field.name for field in fields(record)} - _NOT_TYPED
    told = {name: _like(getattr(record, name), value) for name, value in changes.items() if name in known}
    return replace(record, **told)


def drafts_text(drafts: Mapping[str, Changes]) -> str:
    """Drafts as text, to be kept over a restart."""
    return json.dumps(drafts, sort_keys=True) if drafts else ""


def drafts_from(text: str) -> dict[str, Changes]:
    """Drafts kept as text; none where the text is not one of ours."""
    try:
        read = json.loads(text) if text else {}
    except ValueError:
        return {}
    entries: Iterable[tuple[object, object]] = read.items() if isinstance(read, dict) else ()
    return {str(key): dict(changes) for key, changes in entries if isinstance(changes, dict)}


def _like(model: Any, value: Any) -> Any:
    """A value read from text, of the kind the record holds."""
    if isinstance(model, Enum):
        return next((each for each in type(model) if each.value == value), model)
    return _tuples(value)


def _tuples(value: Any) -> Any:
    return tuple(_tuples(each) for each in value) if isinstance(value, list | tuple) else value
