"""A validation error of pydantic -> its mistakes: for each one sentence, where it is and what to
write."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator
from dataclasses import replace
from typing import Any, get_args

from pydantic import ValidationError
from pydantic.fields import FieldInfo

from reviewer.model.design import Function
from reviewer.model.fields import Piece, TerminalRef, Text, key_of
from reviewer.model.parts import BreakContact, ChangeoverContact, MakeContact
from reviewer.model.quantities import QuantityError, quantity_of
from reviewer.model.record import record
from reviewer.reading.meant import meant
from reviewer.reading.problem import DID_YOU_MEAN, choices, flow, instead, nearest, quoted, shown
from reviewer.reading.yaml_events import Refused, pointer

_CONTACTS: dict[str, type[Piece]] = {
    "make": MakeContact,
    "break": BreakContact,
    "changeover": ChangeoverContact,
}
#: the keys of a changeover contact, with terminals as an example
_CHANGEOVER = {"common": "common", "de-energised": "rest", "energised": "line"}
_FREE_TEXT = FieldInfo.from_annotation(Text).metadata
_GROUP = "expected a group of keys"
_LIST = "expected a list in square brackets"
_WHOLE = "expected a whole number"
_YES_OR_NO = "expected `true` or `false`"
_DAY = "expected a day such as 2026-04-18"
_TEXT = frozenset({"string_type", "string_too_short", "string_too_long", "string_pattern_mismatch"})
_WANTED = {
    "string_type": "expected text (put a number or true/false in quotes)",
    "string_pattern_mismatch": "expected `part.terminal`, a part and one of its terminals with one dot "
    "between",
    "string_too_long": "it may have {max_length} characters at most",
    "int_type": _WHOLE, "int_from_float": _WHOLE, "int_parsing": _WHOLE, "int_parsing_size": _WHOLE,
    "bool_type": _YES_OR_NO, "bool_parsing": _YES_OR_NO,
    "greater_than_equal": "it must be {ge} or more", "less_than_equal": "it must be {le} or less",
    "tuple_type": _LIST, "dict_type": _GROUP, "mapping_type": _GROUP, "model_type": _GROUP,
    "model_attributes_type": _GROUP,
    "too_short": "it needs {min_length} or more entries",
    "too_long": "it may have {max_length} entries at most",
    "date_from_datetime_parsing": _DAY, "date_type": _DAY, "date_parsing": _DAY,
}  # fmt: skip


@record
class Mistake:
    """One mistake of a piece.

    ``at`` and ``key`` say where it is reported; ``value_at`` is the pointer of the value and ``path``
    the way to it in the piece; ``of_text`` is True where other text would do. Without a ``message``
    it was reported already.
    """

    at: str
    message: str
    key: bool
    value_at: str
    path: tuple[Any, ...]
    of_text: bool


def explained(
    error: ValidationError,
    model: type[Piece],
    value: dict[str, Any],
    at: str,
    what: str,
    without_colon: Callable[[str], bool],
) -> list[Mistake]:
    """The mistakes of a piece, one for each place.

    ``value`` is the data of the piece, ``at`` its pointer, ``what`` its name in sentences;
    ``without_colon`` says whether the key at a pointer has no colon after it.
    """
    entries = sorted(error.errors(include_url=False), key=lambda e: _union_rank(e, value))
    explain = _Explain(model, value, at, what, without_colon)
    for entry in entries:
        explain.take(entry)
    return [explain.once(mistake) for mistake in explain.mistakes]


class _Explain:
    def __init__(
        self,
        model: type[Piece],
        value: dict[str, Any],
        at: str,
        what: str,
        without_colon: Callable[[str], bool],
    ):
        self.model, self.value, self.at, self.what = model, value, at, what
        self.without_colon = without_colon
        self.mistakes: list[Mistake] = []
        self._seen: set[str] = set()
        #: pointers of keys that are missing, and those that an unknown key beside them is meant to be
        self._missing: set[str] = set()
        self._meant: set[str] = set()

    def take(self, entry: Any) -> None:
        path = tuple(_real_path(entry, self.value))
        if _one_list_short(entry, path, self.value):
            path = path[:-1]
        here = self._pointer(path)
        unsuited = _union_rank(entry, self.value)[0] and any(other.startswith(here) for other in self._seen)
        if here in self._seen or unsuited or _long_enough(entry):
            return
        self._seen.add(here)
        at, message, key = here, "", False
        if _inside(self.value, path) is not Refused:
            at, message, key = self._sentence(entry, path, here)
        self.mistakes.append(Mistake(at, message, key, here, path, entry["type"] in _TEXT))

    def once(self, mistake: Mistake) -> Mistake:
        """The mistake, without a message where it is a missing key of which an unknown one was said to be
        the name."""
        said = mistake.value_at in self._missing & self._meant
        return replace(mistake, message="") if said else mistake

    def _sentence(self, entry: Any, path: tuple[Any, ...], here: str) -> tuple[str, str, bool]:
        """Where the mistake is reported, the sentence, and whether it is about the key."""
        kind, found, what = entry["type"], entry.get("input"), self.what
        owner = _model_at(self.model, path[:-1], self.value)
        key = str(path[-1]) if path else ""
        named = "/".join(map(str, path))
        if kind == "missing":
            self._missing.add(here)
            return here.rpartition("/")[0], f"{what}: `{key}` is missing{_for_example(owner, key)}", False
        if kind == "extra_forbidden":
            return here, self._unknown_key(owner, path), True
        if owner is Function and key == "any" and isinstance(found, list):
            self._meant.add(self._pointer((*path[:-1], "of")))
            of = f"any: 1, of: [{', '.join(map(str, found))}]"
            return here, f"{what}: `any` is how many of the channels are enough; write `{of}`", False
        if kind == "tuple_type" and isinstance(inner := _inside(self.value, path), list):
            said = f"{what}: `{named}` is {flow(inner)}; expected a list of lists"
            return here, f"{said}; write `{key}: [{flow(inner)}]`", False
        if kind == "quantity":
            return here, f"{what}: `{named}`: {_of_quantity(entry, owner, key)}", False
        if kind == "union_tag_not_found":
            return here, f"{what}: `{named}` needs `kind`, one of `make`, `break`, `changeover`", False
        if kind in ("literal_error", "union_tag_invalid"):
            known = list(_CONTACTS)
            if kind == "literal_error":
                known = _literals(entry)
            else:
                here, named, found, key = f"{here}/kind", f"{named}/kind", found["kind"], "kind"
            near = nearest(found, known)
            return (
                here,
                f"{what}: `{named}` is {shown(found)}{near}; it may be {choices(known)}{meant(key, found)}",
                False,
            )
        if kind == "string_type" and isinstance(found, (bool, int, float)) and _is_name(self.model, path):
            return (
                here,
                f"{what}: `{named}` is {shown(found)}; a name is text, put it in quotes: `{quoted(found)}`",
                False,
            )
        return (
            here,
            f"{what}: `{named}` is {shown(found)}; {_wanted(kind, entry)}{_for_example(owner, key)}",
            False,
        )

    def _unknown_key(self, owner: type[Piece] | None, path: tuple[Any, ...]) -> str:
        """What is said of a key that a piece does not have; nothing where it was said of a key
        before it."""
        known = [key_of(name) for name in owner.model_fields] if owner else []
        tight, colon, rest = str(path[-1]).partition(":")
        if colon and tight in known:
            self._meant.add(self._pointer((*path[:-1], tight)))
            hard = " (a no-break space is none)" if rest[:1] == "\u00a0" else ""
            return f"{self.what}: a space follows the colon of a key{hard}; write `{tight}: {rest.strip()}`"
        if (said := self._comma(owner, path)) is not None:
            return said
        group = _inside(self.value, path[:-1])
        if owner and (written := _written_otherwise(owner, str(path[-1]), group[path[-1]])):
            self._meant |= {self._pointer((*path[:-1], key)) for key in written}
            said = ", ".join(f"{key}: {value}" for key, value in written.items())
            return f"{self.what} has no key `{path[-1]}` here; write for example `{said}`"
        meant_by = instead(path[-1], known) if known else ""
        if meant_by.startswith(DID_YOU_MEAN):
            self._meant |= {self._pointer((*path[:-1], key)) for key in known if f"`{key}`" in meant_by}
        return f"{self.what} has no key `{path[-1]}`{meant_by}"

    def _comma(self, owner: type[Piece] | None, path: tuple[Any, ...]) -> str | None:
        """What is said of a key that is the rest of a text with a comma in it; None where it is no
        such key."""
        group = _inside(self.value, path[:-1])
        here = self._pointer(path[:-1])
        keys = list(group)

        def is_rest(key: str) -> bool:
            return group[key] is None and self.without_colon(pointer(here, key))

        number = keys.index(path[-1])
        before = list(itertools.takewhile(is_rest, reversed(keys[: number + 1])))
        if not before or len(before) > number:
            return None
        key = keys[number - len(before)]
        if not isinstance(group[key], str) or not _is_free_text(owner, key):
            return None
        if len(before) > 1:
            return ""
        whole = ", ".join([group[key], *itertools.takewhile(is_rest, keys[number:])])
        return (
            f"{self.what}: the comma in `{key}` makes a key of `{path[-1]}`; put text that has a comma in"
            f' quotes: `{key}: "{whole}"`'
        )

    def _pointer(self, path: tuple[Any, ...]) -> str:
        here = self.at
        for step in path:
            here = pointer(here, step)
        return here


def _written_otherwise(owner: type[Piece], key: str, found: Any) -> dict[str, str]:
    """The keys that together say what one that there is not would say, with their values; none where it is
    not known to be such."""
    names = [str(name) for name in found] if isinstance(found, list) else []
    if owner is ChangeoverContact and key == "joins":
        ends = names if len(names) == len(_CHANGEOVER) else _CHANGEOVER.values()
        return dict(zip(_CHANGEOVER, ends, strict=True))
    if owner is Function and key in ("all", "channels", "needs") and names:
        return {"any": str(len(names)), "of": f"[{', '.join(names)}]"}
    return {}


def _one_list_short(entry: Any, path: tuple[Any, ...], value: Any) -> bool:
    """Whether an entry of a list of lists is a word, as all beside it: one pair of brackets is missing."""
    if entry["type"] != "tuple_type" or not path or not isinstance(path[-1], int):
        return False
    return all(isinstance(other, str) for other in _inside(value, path[:-1]))


def _long_enough(entry: Any) -> bool:
    """Whether a list that is called too short is so only because entries of it are mistaken, which
    is reported at them."""
    found = entry.get("input")
    return (
        entry["type"] == "too_short"
        and isinstance(found, (list, dict))
        and len(found) >= entry["ctx"]["min_length"]
    )


def _wanted(kind: str, entry: Any) -> str:
    context = entry.get("ctx") or {}
    if kind == "string_too_short":
        return "it must not be empty" if context["min_length"] == 1 else "expected `part.terminal`"
    return _WANTED[kind].format(**context) if kind in _WANTED else entry["msg"].rstrip(".").lower()


def _inside(value: Any, path: tuple[Any, ...]) -> Any:
    for step in path:
        value = _step(value, step)
    return value


def _step(value: Any, step: Any) -> Any:
    if isinstance(value, dict):
        return value.get(step)
    return value[step] if isinstance(value, list) and isinstance(step, int) and step < len(value) else None


def _real_path(entry: Any, value: Any) -> Iterator[Any]:
    """The steps of a location that exist in the data, and a missing key: names of union members and
    tags are left out."""
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
            value = _step(value, step)


def _union_rank(entry: Any, value: Any) -> tuple[int, int]:
    """Among the messages of a union's members, the one that suits what was written comes first: a
    group is read as a group."""
    found = entry.get("input")
    unsuited = (
        isinstance(found, dict) and entry["type"] in ("quantity", "literal_error", "string_type")
    ) or (not isinstance(found, dict) and entry["type"] in ("dict_type", "mapping_type", "model_type"))
    return (1 if unsuited else 0, 0 if entry["type"] == "quantity" else 1)


def _model_at(model: type[Piece] | None, path: tuple[Any, ...], value: Any) -> type[Piece] | None:
    """The model of the piece at a path within a piece of ``model``."""
    for step in path:
        value = _step(value, step)
        if model is None:
            continue
        field = _field(model, step)
        if field is not None:
            inner = _models(field.annotation)
            model = inner[0] if len(inner) == 1 else None if len(inner) == 0 else model
        elif isinstance(value, dict) and isinstance(value.get("kind"), str) and value["kind"] in _CONTACTS:
            model = _CONTACTS[value["kind"]]
    return model


def _models(annotation: Any) -> list[type[Piece]]:
    if isinstance(annotation, type) and issubclass(annotation, Piece):
        return [annotation]
    return [m for a in get_args(annotation) for m in _models(a)]


def _is_name(model: type[Piece], path: tuple[Any, ...]) -> bool:
    """Whether an entry of a list is a name by itself, not a terminal of a part."""
    field = _field(model, path[0])
    return (
        isinstance(path[-1], int) and field is not None and TerminalRef not in _annotations(field.annotation)
    )


def _is_free_text(owner: type[Piece] | None, key: str) -> bool:
    """Whether a key holds words for a reader, in which commas are common."""
    field = _field(owner, key) if owner else None
    return field is not None and (Text in _annotations(field.annotation) or field.metadata == _FREE_TEXT)


def _annotations(annotation: Any) -> Iterator[Any]:
    yield annotation
    for inner in get_args(annotation):
        yield from _annotations(inner)


def _for_example(owner: type[Piece] | None, key: str) -> str:
    field = _field(owner, key) if owner else None
    return f"; write for example `{key}: {flow(field.examples[0])}`" if field and field.examples else ""


def _of_quantity(entry: Any, owner: type[Piece] | None, key: str) -> str:
    """What is wrong with a quantity, with an example of the size that its key has."""
    field = _field(owner, key) if owner else None
    mark = quantity_of(field) if field else None
    if field and mark and field.examples and isinstance(field.examples[0], str):
        try:
            mark.read(entry["input"], field.examples[0])
        except QuantityError as error:
            return error.message
    return entry["msg"]


def _field(model: type[Piece], key: object) -> FieldInfo | None:
    return next((field for name, field in model.model_fields.items() if key_of(name) == key), None)


def _literals(entry: Any) -> list[str]:
    text = str(entry["ctx"]["expected"])
    return [w.strip().strip("'") for w in text.replace(" or ", ", ").split(",") if w.strip()]
