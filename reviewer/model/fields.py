"""What everything read from a design file has in common: a piece is a frozen model, and its fields
say what they may hold."""

from collections.abc import Mapping
from types import MappingProxyType, NoneType
from typing import TYPE_CHECKING, Annotated, Any, TypeVar

from pydantic import AfterValidator, BaseModel, ConfigDict, Field

#: the largest whole number that a file may state: channels that are enough, spare fuses
MOST_COUNTED = 1000


def key_of(name: str) -> str:
    """The key in a file for the name of a field: ``from_`` is ``from``, ``mounted_on`` is
    ``mounted-on``."""
    return name.rstrip("_").replace("_", "-")


#: classes of values that hold nothing else
PLAIN = frozenset({str, int, float, bool, NoneType})


class Piece(BaseModel):
    """Base of everything read from a design file: frozen, keys with hyphens, unknown keys refused.

    A validator is built when the first piece of its class is read: a file uses few of the kinds.
    """

    model_config = ConfigDict(frozen=True, extra="forbid", alias_generator=key_of, defer_build=True)

    if not TYPE_CHECKING:

        def __getattr__(self, name: str) -> Any:
            # that of pydantic looks for private and extra attributes first, of which no piece has any
            raise AttributeError(f"{type(self).__name__!r} object has no attribute {name!r}")


def required(title: str, about: str, *examples: Any) -> Any:
    """A field that must be given, with the words that an editor shows for it."""
    return Field(title=title, description=about, examples=list(examples))


def optional(title: str, about: str, *examples: Any, default: Any = None) -> Any:
    """A field that may be left out, with the words that an editor shows for it."""
    if default is no_entries:
        return Field(default_factory=no_entries, title=title, description=about, examples=list(examples))
    return Field(default=default, title=title, description=about, examples=list(examples))


_EMPTY: Mapping[str, Any] = MappingProxyType({})


def no_entries() -> Mapping[str, Any]:
    """An empty map that nobody can change."""
    return _EMPTY


def _frozen(found: Mapping[str, Any]) -> Mapping[str, Any]:
    return MappingProxyType(dict(found))


Name = Annotated[str, Field(min_length=1, max_length=200)]
Text = Annotated[str, Field(min_length=1, max_length=2000)]
TerminalName = Annotated[
    str, Field(min_length=1, max_length=200, description="A terminal of this part.", examples=["line"])
]
TerminalRef = Annotated[
    str, Field(min_length=3, max_length=401, pattern=r"^[^.]+\.[^.]+$", examples=["main-bus.stud-1"])
]
Pair = Annotated[tuple[TerminalName, ...], Field(min_length=2, max_length=2)]

T = TypeVar("T")
#: a mapping from names that nobody can change after it was read
FrozenMap = Annotated[Mapping[Name, T], AfterValidator(_frozen)]
