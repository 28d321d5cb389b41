"""What everything read from a design file has in common: a piece is frozen, and its fields say what may stand in them.

A piece is a dataclass. Its annotations and the metadata of its fields are in the words that pydantic reads, but pydantic is not imported
here: it is loaded where a mistake must be told or the schema made, and a review of a file without mistakes needs neither. Annotations are
read at run time, so this module and those that declare pieces do not postpone them.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import MISSING, FrozenInstanceError, dataclass, field, fields
from types import MappingProxyType
from typing import Annotated, Any, ClassVar, TypeVar


def key_of(name: str) -> str:
    """The key in a file for the name of a field: ``from_`` is ``from``, ``mounted_on`` is ``mounted-on``."""
    return name.rstrip("_").replace("_", "-")


@dataclass(init=False, repr=False, eq=False)
class Piece:
    """Base of everything read from a design file: frozen, keys with hyphens, unknown keys refused."""

    __pydantic_config__: ClassVar[dict[str, Any]] = {}
    _needed: ClassVar[frozenset[str]] = frozenset()

    def __init_subclass__(cls) -> None:
        # the methods that a dataclass would compile for each of many classes are written once, below
        dataclass(init=False, repr=False, eq=False)(cls)
        cls.__pydantic_config__ = {"extra": "forbid", "alias_generator": key_of, "json_schema_extra": {"description": cls.__doc__}}
        for one in fields(cls):
            if one.default_factory is not MISSING:
                setattr(cls, one.name, one.default_factory())  # what it makes cannot be changed, so that one serves all pieces
        cls._needed = frozenset(one.name for one in fields(cls) if not hasattr(cls, one.name))

    def __init__(self, **values: Any) -> None:
        """A piece of values that are right already, by the names of its fields. Raises TypeError for a name too many or too few."""
        if values.keys() - self.__dataclass_fields__.keys() or self._needed - values.keys():
            wrong = sorted((values.keys() - self.__dataclass_fields__.keys()) | (self._needed - values.keys()))
            raise TypeError(f"{type(self).__name__} lacks, or does not have, {', '.join(wrong)}")
        vars(self).update(values)  # of a field that was not given the class holds the default

    def given(self, name: str) -> bool:
        """Whether the file gave a value for this field, be it the default."""
        return name in vars(self)

    def __setattr__(self, name: str, value: Any) -> None:
        raise FrozenInstanceError(f"cannot assign to field {name!r}")

    def __delattr__(self, name: str) -> None:
        raise FrozenInstanceError(f"cannot delete field {name!r}")

    def __eq__(self, other: object) -> bool:
        return self._values() == other._values() if isinstance(other, Piece) and type(other) is type(self) else NotImplemented

    def __hash__(self) -> int:
        return hash(self._values())

    def __repr__(self) -> str:
        return (
            f"{type(self).__name__}({', '.join(f'{name}={value!r}' for name, value in zip(self.__dataclass_fields__, self._values(), strict=True))})"
        )

    def _values(self) -> tuple[Any, ...]:
        return tuple(getattr(self, name) for name in self.__dataclass_fields__)


def need(title: str, about: str, *examples: Any) -> Any:
    """A field that must be given, with the words an editor shows for it."""
    return field(metadata={"title": title, "description": about, "examples": list(examples)})


def text(title: str, about: str, *examples: Any, default: Any = None) -> Any:
    """A field that may be left out, with the words an editor shows for it."""
    words = {"title": title, "description": about, "examples": list(examples)}
    return field(default_factory=default, metadata=words) if default is no_entries else field(default=default, metadata=words)


def no_entries() -> Mapping[str, Any]:
    """An empty map that nobody can change."""
    return MappingProxyType({})


class Mark:
    """What an annotation says beyond its type. Iterated, it says the same to pydantic: the protocol of grouped metadata of annotated-types."""

    __is_annotated_types_grouped_metadata__ = True
    #: True where ``read`` takes what the file says, False where it takes a value of the annotation's type
    reads_text: ClassVar[bool] = False

    def __iter__(self) -> Iterator[Any]:
        raise NotImplementedError

    def read(self, value: Any) -> Any:
        """The value as a piece keeps it. Raises ValueError where it is not plainly right."""
        raise NotImplementedError


class Limits(Mark):
    """Bounds on text, lists and numbers, in the words of pydantic's ``Field``: ``min_length``, ``max_length``, ``pattern``, ``ge``."""

    def __init__(self, **words: Any) -> None:
        self.words = words
        self.least, self.most = words.get("min_length", 0), words.get("max_length")
        self.pattern, self.floor = words.get("pattern"), words.get("ge")

    def __iter__(self) -> Iterator[Any]:
        from pydantic import Field

        yield Field(**self.words)

    def read(self, value: Any) -> Any:
        if self.floor is not None:
            wrong = value < self.floor
        else:
            wrong = len(value) < self.least or (self.most is not None and len(value) > self.most)
        if wrong or (self.pattern is not None and not re.fullmatch(self.pattern, value)):
            raise ValueError("outside its limits")
        return value


class Frozen(Mark):
    """A mapping that nobody can change after it was read."""

    def __iter__(self) -> Iterator[Any]:
        from pydantic import AfterValidator

        yield AfterValidator(self.read)

    def read(self, value: Any) -> Any:
        return MappingProxyType(dict(value))


class Tagged(Mark):
    """A choice of pieces that their ``kind`` tells apart."""

    def __iter__(self) -> Iterator[Any]:
        from pydantic import Field

        yield Field(discriminator="kind")

    def read(self, value: Any) -> Any:
        return value


Name = Annotated[str, Limits(min_length=1, max_length=200)]
Text = Annotated[str, Limits(min_length=1, max_length=2000)]
TerminalName = Annotated[str, Limits(min_length=1, max_length=200, description="A terminal of this part.", examples=["line"])]
TerminalRef = Annotated[str, Limits(min_length=3, max_length=401, pattern=r"^[^.]+\.[^.]+$", examples=["main-bus.stud-1"])]
Pair = Annotated[tuple[TerminalName, ...], Limits(min_length=2, max_length=2)]

T = TypeVar("T")
#: a mapping from names that nobody can change after it was read
FrozenMap = Annotated[Mapping[Name, T], Frozen()]
