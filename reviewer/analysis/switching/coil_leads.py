"""Coil leads that are wired to the wrong place: where each goes, and where it should go."""

from __future__ import annotations

from collections.abc import Iterator

from reviewer.model.record import record
from reviewer.network.graph import Gate, Link, Network, PoweredDevice
from reviewer.network.search import anything_against, anything_along, conductors_and_protectors, reachable


@record
class MiswiredLead:
    """``lead`` is the terminal of a coil that goes to the wrong place.

    ``at`` is the terminal of the relay's own contact, or of a source, to which it is wired; ""
    where it is wired to neither, or is that terminal itself. ``belongs`` is the terminal on the source
    side of that contact to which it belongs, "" where it must be the return of the coil.
    """

    lead: str
    at: str
    belongs: str


def miswired_lead(network: Network, coil: PoweredDevice) -> MiswiredLead | None:
    """The lead of a coil that no contact but its own, closed, would feed or return; None where it
    has a feed and a return. Alternators are no sources here: none starts by itself."""
    coil_links = network.links_of.get(coil.element, ())
    sources = [s for s in network.sources if s.kind != "alternator"]

    def onward(link: Link, leaving: bool) -> bool:
        return anything_along(link, leaving) and link.element != coil.element

    def backward(link: Link, leaving: bool) -> bool:
        return anything_against(link, leaving) and link.element != coil.element

    def wired(link: Link, leaving: bool) -> bool:
        return conductors_and_protectors(link, leaving) and link.element != coil.element

    fed = reachable(network, [s.positive for s in sources], onward)
    home = reachable(network, [s.negative for s in sources], backward)
    ends = (coil.plus[0], coil.minus[0])
    if any(one in fed and other in home for one, other in (ends, ends[::-1])):
        return None
    joined = {end: reachable(network, [end], wired) for end in ends}

    def own(end: int) -> Iterator[tuple[int, int]]:
        """The ends of the relay's make contacts that a coil end is wired to, and the other ends."""
        for i in coil_links:
            link = network.links[i]
            if link.gate is Gate.ENERGISED:
                yield from (
                    (at, over) for at, over in ((link.a, link.b), (link.b, link.a)) if at in joined[end]
                )

    names = network.names
    back = [end for end in ends if end in home]
    if back:
        feed = next((end for end in ends if end not in back), ends[0])
        for at, over in own(feed):
            if over in fed:
                return MiswiredLead(names[feed], names[at] if at != feed else "", names[over])
        return None
    open_ends = [end for end in ends if end not in fed]
    if len(open_ends) == len(ends):
        return None
    lead = open_ends[0] if open_ends else ends[1]
    positives = [s.positive for s in sources if s.positive in joined[lead]]
    wrong = [at for at in (*(at for at, _ in own(lead)), *positives) if at != lead]
    return MiswiredLead(names[lead], names[wrong[0]] if wrong else "", "")
