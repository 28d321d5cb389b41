"""The failures that are tried, one at a time: each part and wire open, each hot one shorted to ground, contacts that stick, bundles cut."""

from __future__ import annotations

from collections.abc import Collection
from enum import StrEnum

from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record
from reviewer.network.graph import Network, bare


class Mode(StrEnum):
    """How an element fails; the value is what a person reads in a finding."""

    OPEN = "open"
    SHORT = "shorted to ground"
    #: a diode that conducts both ways
    DIODE_SHORT = "shorted"
    #: contacts of a relay or contactor
    HELD = "contacts welded closed"
    DROPPED = "contacts failed open"
    #: a switch that does not leave a position
    STAYS = "stays"
    #: all wires of a bundle
    SEVERED = "severed"

    @property
    def key(self) -> str:
        """The mode in one word, as typed on the command line and printed in tables: ``welded-closed``."""
        return self.value.removeprefix("contacts ").replace(" ", "-")


OPEN, SHORT, DIODE_SHORT = Mode.OPEN, Mode.SHORT, Mode.DIODE_SHORT
HELD, DROPPED, STAYS, SEVERED = Mode.HELD, Mode.DROPPED, Mode.STAYS, Mode.SEVERED
#: parts whose terminals are separate circuits, so that a short is tried at one terminal at a time
_SEPARATE = (p.Switch, p.Electromagnet, p.Connector, p.Consumer, p.Protector, p.Diode)


@record
class Failure:
    """One failure: ``element`` is a pointer (``parts/x``, ``wires/x``, ``bundles/x``), ``mode`` how it fails.

    ``nodes`` are those a short grounds; ``passes`` the protectors that do not open first, so that the short is cleared further up;
    ``position`` is where a switch stays.
    """

    element: str
    mode: Mode
    nodes: tuple[int, ...] = ()
    position: str = ""
    passes: frozenset[str] = frozenset()

    def words(self, network: Network) -> str:
        """The failure in words, naming the terminal where a short can be at more than one."""
        if self.mode == STAYS:
            return f"stays at {self.position}"
        several_terminals = len(self.nodes) == 1 and len(network.nodes_of[self.element]) > 1
        at = f" at {network.names[self.nodes[0]]}" if several_terminals else ""
        late = " and ".join(sorted(bare(e) for e in self.passes))
        return f"{self.mode}{at}, and {late} does not open first" if late else f"{self.mode}{at}"


def single_failures(design: Design, network: Network, hot: Collection[int]) -> tuple[Failure, ...]:
    """Every single failure that is tried in a state whose nodes ``hot`` are fed by a live source.

    A short is tried only where it changes something: at hot nodes. A battery shorted at its positive terminal is a collapsed
    battery. Metal structure does not open as a whole: its connections are wires and mountings that do.
    """
    structure = {f"parts/{n}" for n in design.of_kind(p.Airframe)}
    found = [Failure(element, OPEN) for element in network.elements if element not in structure]
    for name in design.of_kind(p.Diode):
        found.append(Failure(f"parts/{name}", DIODE_SHORT))
    for element in network.elements:
        nodes = tuple(n for n in network.nodes_of[element] if n in hot)
        if not nodes:
            continue
        part = design.parts.get(element.partition("/")[2]) if element.startswith("parts/") else None
        if isinstance(part, _SEPARATE):
            found += [Failure(element, SHORT, (n,)) for n in nodes]
        else:
            found.append(Failure(element, SHORT, nodes))
    found += [
        Failure(f"bundles/{name}", SEVERED) for name, wires in network.bundles.items() if len(wires) > 1
    ]
    return tuple(found)


def stuck_relays(design: Design) -> tuple[Failure, ...]:
    """Every relay and contactor stuck as energised and at rest."""
    return tuple(
        Failure(f"parts/{name}", mode) for name in design.of_kind(p.Electromagnet) for mode in (HELD, DROPPED)
    )


def stuck_contacts(design: Design, switches: dict[str, str]) -> tuple[Failure, ...]:
    """Every relay stuck as energised and at rest, and every switch that stays at a position other than those of ``switches``."""
    found = list(stuck_relays(design))
    for name in design.of_kind(p.Switch):
        found += [
            Failure(f"parts/{name}", STAYS, position=at)
            for at in design.parts[name].positions
            if at != switches.get(name)
        ]
    for name in design.of_kind(p.BreakerSwitch):
        found += [
            Failure(f"parts/{name}", STAYS, position=at) for at in ("off", "on") if at != switches.get(name)
        ]
    return tuple(found)
