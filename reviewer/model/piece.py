"""What everything read from a design file has in common: a piece is frozen, and its fields say what may stand in them.

A piece is a record. Its annotations and the metadata of its fields are in the words that pydantic reads, but pydantic is not imported
here: it is loaded where a mistake must be told or the schema made, and a review of a file without mistakes needs neither. Annotations are
read at run time, so this module and those that declare pieces do not postpone them.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import Field, field
from types import MappingProxyType
from typing import TYPE_CHECKING, Annotated, Any, ClassVar, TypeVar

from reviewer.model.record import record


def key_of(name: str) -> str:
    """The key in a file for the name of a field: ``from_`` is ``from``, ``mounted_on`` is ``mounted-on``."""
    return name.rstrip("_").replace("_", "-")


class Piece:
    """Base of everything read from a design file: frozen, keys with hyphens, unknown keys refused."""

    __pydantic_config__: ClassVar[dict[str, Any]]
    __dataclass_fields__: ClassVar[dict[str, Field[Any]]]

    def __init_subclass__(cls) -> None:
        record(cls)
        cls.__pydantic_config__ = {"extra": "forbid", "alias_generator": key_of, "json_schema_extra": {"description": cls.__doc__}}

    if TYPE_CHECKING:  # pieces are made by names

        def __init__(self, **values: Any) -> None: ...

    def given(self, name: str) -> bool:
        """Whether a value was given for this field, be it the default."""
        return name in vars(self)


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
        self.matches = re.compile(words["pattern"]).fullmatch if "pattern" in words else None
        self.floor = words.get("ge")

    def __iter__(self) -> Iterator[Any]:
        from pydantic import Field

        yield Field(**self.words)

    def read(self, value: Any) -> Any:
        if self.floor is not None:
            wrong = value < self.floor
        else:
            wrong = len(value) < self.least or (self.most is not None and len(value) > self.most)
        if wrong or (self.matches is not None and not self.matches(value)):
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
