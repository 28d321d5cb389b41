"""What the typed JSON documents share: descriptions of keys, and the keys that each begins with.

A document is a TypedDict. Its JSON Schema is made from it by ``python -m tests.write_committed``; a
reader should skip keys that it does not know, since a new key does not change the number of a
format.
"""

from __future__ import annotations

from typing import Annotated, Any

from typing_extensions import TypedDict

from reviewer.model.review import HazardClass


class About:
    """The description of a key in the schema, with further keywords such as ``minimum``."""

    def __init__(self, description: str, **keywords: Any):
        self.description, self.keywords = description, keywords

    def __get_pydantic_json_schema__(self, core: Any, handler: Any) -> dict[str, Any]:
        return {**handler(core), "description": self.description, **self.keywords}


HAZARDS = tuple(h.word for h in sorted(HazardClass, reverse=True))
HazardWord = Annotated[str, About("Hazard class of the effect on the flight.", enum=HAZARDS)]
Element = Annotated[str, About("A pointer into the design file without its leading slash.")]
Count = Annotated[int, About("A count.", minimum=0)]
NotNegative = Annotated[float, About("A number of 0 or more.", minimum=0)]
Digest = Annotated[str, About("The sha256 of the bytes.", pattern="^[0-9a-f]{64}$")]


class Beginning(TypedDict):
    """The keys that every document about one file begins with, beside its format."""

    cautions: Annotated[list[str], About("What a reader must keep in mind.")]
    file: Annotated[str, About("The design file as named by the caller.")]
    aircraft: Annotated[str, About("The name of the aircraft.")]
    stage: Annotated[str, About("The stage of the design.")]
