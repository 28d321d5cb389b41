"""The assemblies that come with the reviewer, each in a file of its own."""

from __future__ import annotations

from functools import cache

from reviewer import resources
from reviewer.reading.assemblies.definition import Assembly, assembly_of
from reviewer.reading.assemblies.origin import LIBRARY
from reviewer.reading.yaml_events import load


@cache
def library_names() -> tuple[str, ...]:
    """The names of the assemblies of the library."""
    folder = resources.folder("assemblies")
    return tuple(sorted(path.name.removesuffix(".yaml") for path in folder.glob("*.yaml")))


@cache
def library_assembly(name: str) -> Assembly | None:
    """An assembly of the library; None for another name."""
    if name not in library_names():
        return None
    content = library_text(name)
    data, values, keys, _ = load(content, name)

    def say(at: str, message: str, *, key: bool = False) -> None:
        raise ValueError(f"{at}: {message}")

    return assembly_of(name, data["assemblies"][name], LIBRARY, (values, keys), say)


def library_text(name: str) -> str:
    """The text of an assembly of the library, as a file of it stands."""
    return (resources.folder("assemblies") / f"{name}.yaml").read_text(encoding="utf-8")


def library_example(name: str) -> str:
    """The design in which an assembly of the library was reviewed."""
    folder = resources.folder("assemblies") / "aircraft"
    return (folder / f"{name}.design.yaml").read_text(encoding="utf-8")
