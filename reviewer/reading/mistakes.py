"""A piece that is not plainly right: pydantic takes it, or each of its mistakes becomes one sentence, with where it is and what to write."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import Field, fields
from functools import cache
from typing import Any, Protocol, get_args

from pydantic import TypeAdapter, ValidationError

from reviewer.model.parts import BreakContact, ChangeoverContact, MakeContact
from reviewer.model.piece import Piece, key_of
from reviewer.reading.positions import _Refused, pointer
from reviewer.reading.problem import nearest, shown

_CONTACTS: dict[str, type[Piece]] = {"make": MakeContact, "break": BreakContact, "changeover": ChangeoverContact}


#: pydantic's way with a type of piece
adapter: Callable[[Any], TypeAdapter[Any]] = cache(TypeAdapter)


class Say(Protocol):
    """Takes a mistake: the pointer of where it is, the sentence, and whether it is about the key there."""

    def __call__(self, at: str, message: str, *, key: bool = False) -> None: ...


def decide(say: Say, model: type[Piece], value: dict[str, Any], at: str, what: str) -> Piece | None:
    """The piece, or None when each mistake in it was said."""
    try:
        piece = adapter(model).validate_python(value)
    except ValidationError as error:
        _explain(say, model, value, at, what, error)
        return None
    return model(**{name: found for name, found in vars(piece).items() if key_of(name) in value})


def _explain(say: Say, model: type[Piece], value: dict[str, Any], at: str, what: str, error: ValidationError) -> None:
    seen: set[str] = set()
    for entry in sorted(error.errors(include_url=False, include_context=True), key=lambda e: _union_rank(e, value)):
        path = list(_real_path(entry, value))
        here = at
        for step in path:
            here = pointer(here, step)
        unsuited = _union_rank(entry, value)[0] and any(other.startswith(here) for other in seen)
        if here in seen or unsuited or _inside(value, path) is _Refused:
            continue
        seen.add(here)
        _message(say, model, value, here, path, what, entry)


def _message(say: Say, model: type[Piece], value: dict[str, Any], here: str, path: list[Any], what: str, entry: Any) -> None:
    kind, found = entry["type"], entry.get("input")
    owner = _model_at(model, path[:-1], value)
    key = str(path[-1]) if path else ""
    if kind == "missing":
        say(here.rpartition("/")[0], f"{what}: `{key}` is missing" + _for_example(owner, key))
    elif kind == "unexpected_keyword_argument":
        known = [key_of(f.name) for f in fields(owner)] if owner else []
        say(here, f"{what} has no key `{key}`{nearest(key, known)}; it may have {', '.join(known)}", key=True)
    elif kind in ("quantity", "value_error"):
        say(here, f"{what}: `{_named(path)}`: {entry['msg'].removeprefix('Value error, ')}")
    elif kind == "union_tag_invalid":
        found, known = found["kind"], list(_CONTACTS)
        say(
            f"{here}/kind",
            f"{what}: `{_named(path)}/kind` is {shown(found)}{nearest(found, known)}; it may be {', '.join(f'`{k}`' for k in known)}",
        )
    elif kind == "literal_error":
        known = _literals(entry)
        say(here, f"{what}: `{_named(path)}` is {shown(found)}{nearest(found, known)}; it may be {', '.join(f'`{k}`' for k in known)}")
    elif kind == "union_tag_not_found":
        say(here, f"{what}: `{_named(path)}` needs `kind`, one of `make`, `break`, `changeover`")
    else:
        say(here, f"{what}: `{_named(path)}` is {shown(found)}; {_wanted(kind, entry)}" + _for_example(owner, key))


def _wanted(kind: str, entry: Any) -> str:
    context = entry.get("ctx") or {}
    words = {
        "string_type": "expected text (put a number or true/false in quotes)",
        "string_too_short": "it must not be empty" if context.get("min_length", 1) == 1 else "expected `part.terminal`",
        "string_too_long": f"it may have {context.get('max_length')} characters at most",
        "string_pattern_mismatch": "expected `part.terminal`, a part and one of its terminals with one dot between",
        "int_type": "expected a whole number", "int_from_float": "expected a whole number", "int_parsing": "expected a whole number",
        "bool_type": "expected `true` or `false`", "bool_parsing": "expected `true` or `false`",
        "greater_than_equal": f"it must be {context.get('ge')} or more",
        "tuple_type": "expected a list in square brackets", "dict_type": "expected a group of keys", "mapping_type": "expected a group of keys",
        "model_type": "expected a group of keys", "dataclass_type": "expected a group of keys", "model_attributes_type": "expected a group of keys",
        "too_short": f"it needs {context.get('min_length')} or more entries", "too_long": f"it may have {context.get('max_length')} entries at most",
        "date_from_datetime_parsing": "expected a day such as 2026-04-18", "date_type": "expected a day such as 2026-04-18", "date_parsing": "expected a day such as 2026-04-18",
    }  # fmt: skip
    return words.get(kind, entry["msg"].rstrip(".").lower())


def _named(path: list[Any]) -> str:
    return "/".join(str(p) for p in path)


def _inside(value: Any, path: list[Any]) -> Any:
    for step in path:
        if (isinstance(value, dict) and step in value) or (isinstance(value, list) and isinstance(step, int) and step < len(value)):
            value = value[step]
        else:
            return None
    return value


def _real_path(entry: Any, value: Any) -> Iterable[Any]:
    """The steps of a location that exist in the data, and a missing key: names of union members and tags are left out."""
    loc = entry["loc"]
    for number, step in enumerate(loc):
        if isinstance(value, dict):
            if step in value:
                yield step
                value = value[step]
            elif number == len(loc) - 1 and entry["type"] == "missing":
                yield step
            elif step == "[key]":
                return
        elif isinstance(value, list) and isinstance(step, int):
            yield step
            value = value[step] if step < len(value) else None


def _union_rank(entry: Any, value: Any) -> tuple[int, int]:
    """Among the messages of a union's members, the one that suits what was written comes first: a group is read as a group."""
    found = entry.get("input")
    unsuited = (isinstance(found, dict) and entry["type"] in ("quantity", "literal_error")) or (
        not isinstance(found, dict) and entry["type"] in ("dict_type", "mapping_type")
    )
    return (1 if unsuited else 0, 0 if entry["type"] == "quantity" else 1)


def _model_at(model: type[Piece] | None, path: list[Any], value: Any) -> type[Piece] | None:
    for step in path:
        value = (
            value.get(step)
            if isinstance(value, dict)
            else value[step]
            if isinstance(value, list) and isinstance(step, int) and step < len(value)
            else None
        )
        if model is None:
            continue
        field = _field(model, step)
        if field is not None:
            inner = _models(field.type)
            model = inner[0] if len(inner) == 1 else None if len(inner) == 0 else model
        elif isinstance(value, dict) and isinstance(value.get("kind"), str) and value["kind"] in _CONTACTS:
            model = _CONTACTS[value["kind"]]
    return model


def _models(annotation: Any) -> list[Any]:
    if isinstance(annotation, type) and issubclass(annotation, Piece):
        return [annotation]
    return [m for a in get_args(annotation) for m in _models(a)]


def _for_example(owner: type[Piece] | None, key: str) -> str:
    example = _example(owner, key)
    return f"; write for example `{key}: {example}`" if example else ""


def _example(owner: type[Piece] | None, key: str) -> str:
    field = _field(owner, key) if owner else None
    return _flow(field.metadata["examples"][0]) if field else ""


def _field(model: type[Piece], key: object) -> Field[Any] | None:
    return next((one for one in fields(model) if key_of(one.name) == key), None)


def _flow(value: Any) -> str:
    if isinstance(value, dict):
        return "{" + ", ".join(f"{k}: {_flow(v)}" for k, v in value.items()) + "}"
    if isinstance(value, (list, tuple)):
        return "[" + ", ".join(map(_flow, value)) + "]"
    return str(value).lower() if isinstance(value, bool) else str(value)


def _literals(entry: Any) -> list[str]:
    context = entry.get("ctx") or {}
    text = str(context.get("expected") or "")
    return [w.strip().strip("'") for w in text.replace(" or ", ", ").split(",") if w.strip()]
