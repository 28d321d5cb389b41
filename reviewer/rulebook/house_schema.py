"""Rules of a house without Python: a JSON Schema of what its designs must have beyond the format.

A file ``NAME.schema.json`` is one rule. Its ``title`` is the property in one sentence, its ``description``
the page; ``hazard`` a class, ``remedy`` and ``references`` (a list of texts) stand beside them. Deeper in
the schema ``sentence``, ``hazard``, ``remedy`` and ``references`` may stand too: the nearest one above what
failed counts. In a sentence ``{name}`` is the part, wire or state, ``{key}`` the key and ``{value}`` what
stands there. JSON Schema allows such words of one's own (draft 2020-12, core, section 6.5); a word that is
none of these is refused, as a misspelt one would find nothing, and so is what can apply to no design.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.review import Citation, HazardClass
from reviewer.rulebook.plain_data import plain_data
from reviewer.rulebook.rule import Rule, Unmet
from reviewer.rulebook.schema_places import near_word, never_applies
from reviewer.rulebook.subject import SECTIONS, Subject

ENDING = ".schema.json"
_SAID = ("sentence", "hazard", "remedy", "references")
_CLASSES = ", ".join(f"`{hazard.word}`" for hazard in HazardClass)
#: letters of a value that a sentence shows
_SHOWN = 80
#: keywords under which stand names of the design, not of JSON Schema
_OF_NAMES = ("properties", "patternProperties", "dependentSchemas", "$defs")
#: keywords of which what stands below is no schema
_NO_SCHEMA = ("const", "enum", "default", "examples", "dependentRequired", "$vocabulary")
#: words of JSON Schema that nothing is checked by
_WITHOUT_A_CHECK = (
    *("$schema", "$id", "$anchor", "$dynamicAnchor", "$comment", "$defs", "$vocabulary"),
    *("title", "description", "default", "examples", "deprecated", "readOnly", "writeOnly"),
    *("then", "else", "contentEncoding", "contentMediaType", "contentSchema", "minContains", "maxContains"),
)
#: what a sentence may name
_FILLED = ("{name}", "{key}", "{value}")
_IN_BRACES = re.compile(r"\{\w+\}")
#: sections of a design beside the aircraft
_OF_THE_DESIGN = ("parts", "wires", "functions", "operation", "watch", "concessions")
#: bytes of a schema file
_LARGEST = 1_000_000


class NotASchema(Exception):
    """A file that is no rule; the message says what it lacks."""


def schema_rule(path: Path) -> Rule:
    """The rule of a schema file. Raises :class:`NotASchema`."""
    schema = _read(path)
    lacks = [
        *(["`title`, one sentence"] if not _is_sentence(schema.get("title")) else []),
        *(["`description`, which explains the rule"] if not _is_text(schema.get("description")) else []),
        *(["`hazard`, one of " + _CLASSES] if not _hazard(schema) else []),
        *(["`remedy`, a sentence that says what to do"] if not _is_text(schema.get("remedy")) else []),
        *(["`references`, a list of texts"] if not _is_texts(schema.get("references")) else []),
    ]
    if lacks:
        raise NotASchema("lacks " + "; ".join(lacks))
    _check(schema, "")
    if wrong := list(never_applies(schema)):
        raise NotASchema("; ".join(wrong))
    judge = _HouseSchema(schema)
    return Rule(
        path.name.removesuffix(ENDING).replace("_", "-"),
        schema["title"],
        f"{schema['title']}\n\n{schema['description']}",
        HazardClass.of(schema["hazard"]),
        _citations(schema["references"]),
        schema["remedy"],
        judge.subjects,
        judge.judge,
        str(path),
    )


def _read(path: Path) -> dict[str, Any]:
    import jsonschema

    try:
        content = path.read_bytes()
        if len(content) > _LARGEST:
            raise NotASchema(f"is larger than {_LARGEST:,} bytes")
        schema = json.loads(content)
        if not isinstance(schema, dict):
            raise NotASchema("is no JSON Schema in braces")
        jsonschema.Draft202012Validator.check_schema(schema)
    except OSError as error:
        raise NotASchema(f"cannot be opened: {error.strerror or error}") from None
    except json.JSONDecodeError as error:
        said = f"line {error.lineno}, column {error.colno}: is not JSON: {error.msg}"
        raise NotASchema(said) from None
    except (ValueError, RecursionError) as error:
        raise NotASchema(f"is not JSON: {error}") from None
    except jsonschema.SchemaError as error:
        at = "/".join(map(str, error.absolute_path)) or "its top"
        raise NotASchema(f"is no JSON Schema (draft 2020-12): at {at}: {error.message[:200]}") from None
    return schema


def _check(schema: Any, at: str) -> None:
    """What is said of a rule anywhere in a schema has the right form, and every reference is in the file."""
    if isinstance(schema, list):
        for number, inner in enumerate(schema):
            _check(inner, f"{at}/{number}")
    if not isinstance(schema, dict):
        return
    if at.rpartition("/")[2] not in _OF_NAMES:
        _check_words(schema, at or "its top")
    elif at == "properties":
        _check_sections(schema)
    ref = schema.get("$ref")
    if isinstance(ref, str) and not ref.startswith("#"):
        raise NotASchema(
            f"`$ref` at {at} names another document, {ref[:60]}; write the schema into this file"
        )
    for key, inner in schema.items():
        if key not in _NO_SCHEMA:
            _check(inner, f"{at}/{key}" if at else key)


def _check_sections(names: Mapping[str, Any]) -> None:
    """A section that no design has would never be judged."""
    for name in names:
        if name in ("circuits", "tables", "installed"):
            raise NotASchema(f"`{name}` at properties: what it makes is judged as `parts` and `wires`")
        if name not in (known := ("format", "aircraft", *_OF_THE_DESIGN)):
            raise NotASchema(f"`{name}` at properties is no section of a design{near_word(name, known)}")


def _check_words(schema: Mapping[str, Any], at: str) -> None:
    from jsonschema import Draft202012Validator

    for key in schema:
        known = (*Draft202012Validator.VALIDATORS, *_WITHOUT_A_CHECK, *_SAID)
        if key not in known and not key.startswith("x-"):
            said = f"`{key}` at {at} is no word of JSON Schema, and none of a rule"
            raise NotASchema(f"{said}{near_word(key, known)}; begin a word of your own with `x-`")
    for word in _IN_BRACES.findall(str(schema.get("sentence", ""))):
        if word not in _FILLED:
            raise NotASchema(f"`{word}` in the sentence at {at} is none of {', '.join(_FILLED)}")
    if "hazard" in schema and not _hazard(schema):
        raise NotASchema(f"`hazard` at {at} is none of {_CLASSES}")
    if "references" in schema and not _is_texts(schema["references"]):
        raise NotASchema(f"`references` at {at} is no list of texts")
    for word in ("sentence", "remedy"):
        if word in schema and not _is_text(schema[word]):
            raise NotASchema(f"`{word}` at {at} is no text")


def _is_text(value: Any) -> bool:
    return isinstance(value, str) and bool(value.strip())


def _is_sentence(value: Any) -> bool:
    return _is_text(value) and value.endswith(".") and "\n" not in value


def _is_texts(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and all(map(_is_text, value))


def _hazard(schema: Mapping[str, Any]) -> bool:
    return schema.get("hazard") in [c.word for c in HazardClass]


def _citations(references: Sequence[str]) -> tuple[Citation, ...]:
    """A reference of the house: its words are its own."""
    return tuple(Citation("house", *_title_and_clause(text)) for text in references)


def _title_and_clause(text: str) -> tuple[str, str]:
    title, _, clause = text.partition("; ")
    return title, clause or "house rule"


@record
class _Found:
    """What fails in an entry: its ``subject``, ``key``, what stands there, the keyword with its
    ``wanted`` value, and the schemas from the top to it."""

    subject: str
    key: str
    value: Any
    keyword: str
    wanted: Any
    above: tuple[Mapping[str, Any], ...]


class _HouseSchema:
    """The two functions of a rule that a schema makes."""

    def __init__(self, schema: dict[str, Any]):
        self.schema = schema
        self._of: tuple[Any, dict[str, list[_Found]]] = (None, {})

    def subjects(self, facts: Any) -> Iterator[str]:
        """Every entry of the sections that the schema names, and what else fails."""
        design = facts.as_written
        found = self._found(design)
        named = [s for s in ("parts", "wires", "functions") if s in self.schema.get("properties", {})]
        entries = (f"{section}/{name}" for section in named for name in plain_data(design).get(section, ()))
        yield from dict.fromkeys((*entries, *found))

    def judge(self, subject: Subject, facts: Any) -> Iterator[Unmet]:
        """What fails in one of them."""
        for one in self._found(facts.as_written).get(subject.pointer, ()):
            said = {word: a[word] for a in one.above for word in _SAID if word in a}
            yield Unmet(
                _filled(said["sentence"], one, subject) if "sentence" in said else _words(one, subject),
                field="" if _is_of_the_design(one) else one.key,
                hazard=HazardClass.of(said["hazard"]),
                remedy=said["remedy"],
                extent=_extent(one),
                changes=(f"{subject.in_file}/{one.key}",) if one.key else (),
            )

    def _found(self, design: Design) -> dict[str, list[_Found]]:
        if self._of[0] is not design:
            self._of = (design, self._validated(design))
        return self._of[1]

    def _validated(self, design: Design) -> dict[str, list[_Found]]:
        from jsonschema import Draft202012Validator
        from referencing import Registry

        data = plain_data(design)
        found: dict[str, list[_Found]] = {}
        # a registry of its own: nothing is fetched
        for error in Draft202012Validator(self.schema, registry=Registry()).iter_errors(data):
            for one in _failures(error, self._above(error.absolute_schema_path)):
                if one not in found.setdefault(one.subject, []):
                    found[one.subject].append(one)
        return found

    def _above(self, steps: Sequence[Any]) -> tuple[Mapping[str, Any], ...]:
        """The schemas from the top to a keyword, references followed."""
        own: Any = self.schema
        above, of_names = [own], False
        for step in steps:
            while isinstance(own, dict) and not of_names and step not in own and "$ref" in own:
                own = self._referred(own["$ref"])
                above.append(own)
            own = own[step]
            of_names = not of_names and step in _OF_NAMES
            if isinstance(own, dict) and not of_names:
                above.append(own)
        return tuple(above)

    def _referred(self, ref: str) -> Any:
        """The schema that a reference inside of the file names."""
        own: Any = self.schema
        for key in [k for k in ref.lstrip("#").split("/") if k]:
            own = own[key.replace("~1", "/").replace("~0", "~")]
        return own


def _failures(error: Any, above: tuple[Mapping[str, Any], ...]) -> Iterator[_Found]:
    """What an error of the validator is about: each key that is missing, else the value."""
    steps = [str(step) for step in error.absolute_path]
    subject, inner = _subject_of(steps)
    if error.validator == "required":
        for key in error.validator_value:
            if key not in error.instance:
                yield _Found(subject, "/".join([*inner, key]), None, "required", key, above)
    elif error.parent is None and "propertyNames" in error.absolute_schema_path and len(steps) < 3:
        subject, inner = _subject_of([*steps, str(error.instance)])
        yield _Found(subject, "", error.instance, error.validator, error.validator_value, above)
    else:
        key = "/".join(inner)
        yield _Found(subject, key, error.instance, error.validator, error.validator_value, above)


def _subject_of(steps: Sequence[str]) -> tuple[str, list[str]]:
    """The pointer of an entry, and the keys inside of it; without one the aircraft."""
    deep = 3 if steps[:1] and steps[0] in SECTIONS else 2
    if steps[:1] in (["aircraft"], ["concessions"]) or (len(steps) < deep and deep > 2):
        return steps[0], list(steps[1:])
    if len(steps) < deep:
        return "aircraft", list(steps)
    section, name = "/".join(steps[: deep - 1]), steps[deep - 1]
    return f"{section}/{name}", [step.replace("~", "~0").replace("/", "~1") for step in steps[deep:]]


def _extent(one: _Found) -> str:
    return " ".join(filter(None, (one.key, one.keyword)))


def _filled(sentence: str, one: _Found, subject: Subject) -> str:
    name = subject.name or subject.pointer
    for word, text in zip(_FILLED, (name, one.key, _value(one)), strict=True):
        sentence = sentence.replace(word, text)
    return sentence


def _value(one: _Found) -> str:
    text = str(one.value) if isinstance(one.value, str) else json.dumps(one.value, ensure_ascii=False)
    return text if len(text) <= _SHOWN else f"{text[: _SHOWN - 1]}…"


def _words(one: _Found, subject: Subject) -> str:
    """What fails, where the schema has no sentence of its own."""
    name = subject.name or subject.pointer
    if _is_of_the_design(one):
        name = "the design"
    if one.keyword == "required":
        return f"{name[:1].upper() if ' ' in name else name[:1]}{name[1:]} has no `{one.key}`."
    what = f"`{one.key}` of {name} is {_value(one)}" if one.key else f"{name} is not as the rule asks"
    wanted = _listed(one.wanted)
    if one.keyword == "pattern":
        return f"{what}, which the pattern `{one.wanted}` does not allow."
    if one.keyword in ("enum", "const"):
        return f"{what}; the rule allows {wanted}."
    if len(wanted) > _SHOWN or isinstance(one.wanted, dict | list):
        return f"{what}: `{one.keyword}` of the schema is not met."
    return f"{what}; the rule asks for {one.keyword} {wanted}."


def _is_of_the_design(one: _Found) -> bool:
    """Whether it concerns a section of the design; it is reported at `aircraft`, as no item has it."""
    return one.subject == "aircraft" and one.key.partition("/")[0] in _OF_THE_DESIGN


def _listed(wanted: Any) -> str:
    """What a keyword asks for: of a list its items."""
    items = wanted if isinstance(wanted, list) else [wanted]
    return ", ".join(one if isinstance(one, str) else json.dumps(one, ensure_ascii=False) for one in items)
