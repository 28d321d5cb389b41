"""The path to a short of an alternator leads through its limiter, and not through its field."""

from __future__ import annotations

from types import SimpleNamespace

from reviewer.rulebook.selective import path_of_short

WAYS = {
    (1,): ("parts/battery", "parts/main", "parts/limiter", "parts/alternator"),
    (2,): ("parts/battery", "parts/main", "parts/field", "parts/alternator"),
}


def test_a_path_to_a_short_passes_the_nearest_device() -> None:
    def path_to(state: str, element: str, *by: str, nodes: tuple[int, ...]) -> tuple[str, ...]:
        return WAYS.get(nodes[:1], ())

    facts = SimpleNamespace(states=SimpleNamespace(path_to=path_to))
    for nodes, nearest, way in (((2, 1), "limiter", 1), ((1, 2), "limiter", 1), ((1, 2), "field", 2)):
        short = SimpleNamespace(element="parts/alternator", nodes=nodes)
        late = SimpleNamespace(
            failure=short, state="cruise", first=("parts/main",), protector=f"parts/{nearest}"
        )
        assert path_of_short(late, facts) == WAYS[way,]  # type: ignore[arg-type]
