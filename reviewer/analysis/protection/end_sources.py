"""Against which sources each end of a wire is protected, by what, and against which it is not and why."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import Literal

from reviewer.analysis.conduction.feeds import interrupted_of
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.protection.unprotected_ends import LoadTerminals, users_behind
from reviewer.analysis.protection.wire_protection import STUB_M, EndFeed, unlimited_sources
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.model.rounding import exceeds
from reviewer.network.graph import Network, bare

#: why an end may be without protection against a source; "" for no reason
Reason = Literal["exempt", "stub", "limited", ""]


@record
class EndSources:
    """The sources that can feed an end of a wire, in any declared state or at a position that none sets.

    ``protectors`` stand between, each against its sources; ``unprotected`` are sources that meet
    nothing in one of those states, each with the reason why that is accepted. All are names.
    """

    protectors: Mapping[str, tuple[str, ...]]
    unprotected: Mapping[str, Reason]


def end_sources(
    design: Design,
    network: Network,
    answers: Sequence[StateAnswer],
    feeds: Mapping[str, Sequence[EndFeed]],
    terminals: LoadTerminals,
    exempt: Collection[str],
) -> Mapping[tuple[str, str], EndSources]:
    """(Wire as a pointer, end) -> its sources, for each end that can be fed.

    ``feeds`` are those of ``feeds_in_states`` in ``answers``, ``terminals`` those of
    ``load_terminals``, ``exempt`` the wires that need no protection.
    """
    ends = [(wire, end) for wire, found in feeds.items() for end in dict.fromkeys(f.end for f in found)]
    by_state = interrupted_of(network, answers, [(network.node(end), wire) for wire, end in ends])
    found = {}
    for (wire, end), *states in zip(ends, *by_state, strict=True):
        protectors: dict[str, dict[str, None]] = {}
        for protector, sources in (entry for state in states for entry in state.items()):
            protectors.setdefault(bare(protector), {}).update(dict.fromkeys(map(bare, sources)))
        unprotected: dict[str, Reason] = {}
        for feed in (f for f in feeds[wire] if f.end == end):
            for source, reason in _unprotected(design, network, terminals, feed, wire in exempt):
                unprotected[source] = reason and unprotected.get(source, reason)
        found[wire, end] = EndSources({p: tuple(s) for p, s in protectors.items()}, unprotected)
    return found


def _unprotected(
    design: Design, network: Network, terminals: LoadTerminals, feed: EndFeed, exempt: bool
) -> Iterator[tuple[str, Reason]]:
    """The sources that meet no protection in one feed, each with its reason."""
    sources = tuple(map(bare, feed.sources))
    if exempt:
        yield from ((source, "exempt") for source in sources)
        return
    try:
        unlimited: Sequence[str] = unlimited_sources(design, feed)
    except NotAssessable:
        unlimited = sources
    loads = users_behind(design, network, terminals, feed.wire, feed.end)[0] if unlimited else ()
    stub = not loads and feed.run_m is not None and not exceeds(feed.run_m, STUB_M)
    for source in sources:
        yield source, "limited" if source not in unlimited else "stub" if stub else ""
