"""The library of assemblies as text: its contents, and the page of one of them."""

from __future__ import annotations

from collections.abc import Iterator

from reviewer.reading.assemblies.definition import Assembly, Parameter
from reviewer.reading.assemblies.library import library_assembly, library_names, library_text
from reviewer.reading.problem import flow
from reviewer.reports.layout import lines_of


def contents() -> str:
    """Each assembly of the library with what it is."""
    width = max(map(len, library_names()))
    found = ["Assemblies of the library; `reviewer assemblies NAME` prints one with its drawing.", ""]
    found += [f"  {name:<{width}}  {_of(name).about}" for name in library_names()]
    return "\n".join([*found, "", "Install one in a design file, as in", "", *_call("sense-lead"), ""])


def page(name: str, width: int) -> str:
    """The page of an assembly: drawing, call, parameters, sources, and its text in full."""
    assembly = _of(name)
    found = [name.upper(), *lines_of(assembly.about, width), ""]
    found += [f"    {line}".rstrip() for line in assembly.drawing.splitlines()]
    found += ["", "CALL, with what it must be given (NAME is yours)", "", *_call(name), ""]
    found += ["PARAMETERS", *_parameters(assembly), "", "SOURCES"]
    found += [line for source in assembly.sources for line in lines_of(f"- {source}", width)]
    reviewed = (
        f"Its own review has no finding: `reviewer assemblies {name} --aircraft` prints the aircraft in "
        "which it was reviewed. Another aircraft needs its own review."
    )
    return "\n".join(
        [*found, "", *lines_of(reviewed, width), "", "ITS TEXT", "", library_text(name).rstrip()]
    )


def _of(name: str) -> Assembly:
    found = library_assembly(name)
    assert found is not None
    return found


def _call(name: str) -> Iterator[str]:
    must = {n: p for n, p in _of(name).parameters.items() if _must(p)}
    given = ", ".join(f"{n}: {p.example}" for n, p in must.items())
    yield "    installed:"
    yield f"      NAME: {{assembly: {name}, {given}}}"


def _must(parameter: Parameter) -> bool:
    return parameter.default is None and not parameter.optional


def _parameters(assembly: Assembly) -> Iterator[str]:
    names = assembly.parameters
    width = max(map(len, names))
    for name, parameter in names.items():
        if _must(parameter):
            how = f"must be given, as {parameter.example}"
        elif parameter.optional:
            how = f"left out where it is not given; as {parameter.example}"
        else:
            how = f"{flow(parameter.default)} where it is not given"
        yield f"  {name:<{width}}  {parameter.about}; {how}"
