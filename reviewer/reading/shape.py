"""Plain data -> pieces of the model, with one sentence for every mistake, where it is and what to write."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, get_args

from pydantic import BaseModel, ValidationError

from reviewer.model.parts import BreakContact, ChangeoverContact, MakeContact
from reviewer.reading.positions import Places, _Refused, pointer
from reviewer.reading.problem import Problem

_CONTACTS: dict[str, type[BaseModel]] = {"make": MakeContact, "break": BreakContact, "changeover": ChangeoverContact}


def nearest(word: object, known: Iterable[str]) -> str:
    """`` (did you mean `x`?)`` where a known name is near, else nothing."""
    from difflib import get_close_matches

    if str(word)[:1].isdigit():
        return ""  # one number is not nearer than another
    close = get_close_matches(str(word)[:100], list(known), 1, 0.6)
    return f" (did you mean `{close[0]}`?)" if close else ""


def shown(value: Any) -> str:
    """A value as a message shows it, cut to a line."""
    if isinstance(value, dict):
        return "a group of keys"
    if isinstance(value, list):
        return f"a list of {len(value)}"
    if value is None:
        return "nothing"
    if isinstance(value, bool):
        return f"`{str(value).lower()}`"
    if isinstance(value, (int, float)):
        return f"the number {str(value)[:40]}"
    text = value if len(value) <= 60 else value[:59] + "…"
    return f"`{text}`"


class Shape:
    """Validates pieces and gathers the problems of one file."""

    def __init__(self, values: Places, keys: Places, problems: list[Problem]):
        self.values, self.keys, self.problems = values, keys, problems

    def say(self, at: str, message: str, *, key: bool = False) -> None:
        """A problem at a pointer; ``key`` puts it at the key instead of the value."""
        place = None
        where = at
        while place is None:
            place = (self.keys.get(where) if key else None) or self.values.get(where) or ((1, 1) if not where else None)
            where = where.rpartition("/")[0]
        self.problems.append(Problem(*place, at, message))

    def group(self, value: Any, at: str, what: str) -> dict[str, Any]:
        """The value as a mapping; a problem and an empty one where it is not."""
        if isinstance(value, dict):
            return value
        if value is not _Refused:
            self.say(at, f"expected {what}, found {shown(value)}")
        return {}

    def piece(self, model: type[BaseModel], value: Any, at: str, what: str) -> Any:
        """One piece of the model, or None with a problem for each mistake in it."""
        if value is _Refused:
            return None
        if not isinstance(value, dict):
            self.say(at, f"expected {what}, a group of keys, found {shown(value)}")
            return None
        try:
            return model.model_validate(value)
        except ValidationError as error:
            self._explain(model, value, at, what, error)
            return None

    def _explain(self, model: type[BaseModel], value: dict[str, Any], at: str, what: str, error: ValidationError) -> None:
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
            self._message(model, value, at, here, path, what, entry)

    def _message(self, model: type[BaseModel], value: dict[str, Any], at: str, here: str, path: list[Any], what: str, entry: Any) -> None:
        kind, found = entry["type"], entry.get("input")
        owner = _model_at(model, path[:-1], value)
        key = str(path[-1]) if path else ""
        if kind == "missing":
            example = _example(owner, key)
            self.say(here.rpartition("/")[0], f"{what}: `{key}` is missing" + (f"; write for example `{key}: {example}`" if example else ""))
        elif kind == "extra_forbidden":
            known = [f.alias or n for n, f in owner.model_fields.items()] if owner else []
            self.say(here, f"{what} has no key `{key}`{nearest(key, known)}; it may have {', '.join(known)}", key=True)
        elif kind in ("quantity", "value_error"):
            self.say(here, f"{what}: `{_named(path)}`: {entry['msg'].removeprefix('Value error, ')}")
        elif kind == "union_tag_invalid":
            found, known = found["kind"], list(_CONTACTS)
            self.say(
                f"{here}/kind",
                f"{what}: `{_named(path)}/kind` is {shown(found)}{nearest(found, known)}; it may be {', '.join(f'`{k}`' for k in known)}",
            )
        elif kind == "literal_error":
            known = _literals(entry)
            self.say(here, f"{what}: `{_named(path)}` is {shown(found)}{nearest(found, known)}; it may be {', '.join(f'`{k}`' for k in known)}")
        elif kind == "union_tag_not_found":
            self.say(here, f"{what}: `{_named(path)}` needs `kind`, one of `make`, `break`, `changeover`")
        else:
            self.say(here, f"{what}: `{_named(path)}` is {shown(found)}; {_wanted(kind, entry)}" + self._for_example(owner, key))

    def _for_example(self, owner: type[BaseModel] | None, key: str) -> str:
        example = _example(owner, key)
        return f"; write for example `{key}: {example}`" if example else ""


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
        "model_type": "expected a group of keys", "model_attributes_type": "expected a group of keys",
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


def _model_at(model: type[BaseModel] | None, path: list[Any], value: Any) -> type[BaseModel] | None:
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
        field = next((f for n, f in model.model_fields.items() if (f.alias or n) == step), None)
        if field is not None:
            inner = [m for m in _models(field.annotation) if isinstance(m, type)]
            model = inner[0] if len(inner) == 1 else None if len(inner) == 0 else model
        elif isinstance(value, dict) and isinstance(value.get("kind"), str) and value["kind"] in _CONTACTS:
            model = _CONTACTS[value["kind"]]
    return model


def _models(annotation: Any) -> list[Any]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return [annotation]
    return [m for a in get_args(annotation) for m in _models(a)]


def _example(owner: type[BaseModel] | None, key: str) -> str:
    if owner is None:
        return ""
    field = next((f for n, f in owner.model_fields.items() if (f.alias or n) == key), None)
    if field is None or not field.examples:
        return ""
    example = field.examples[0]
    return _flow(example)


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
