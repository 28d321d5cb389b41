"""Facts: the answers of the engines about one design, by group. No logic lives here."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property
from typing import TYPE_CHECKING

from reviewer.analysis.conduction.answers import States
from reviewer.analysis.crew.answers import Crew
from reviewer.analysis.cut_sets.answers import Failures
from reviewer.analysis.cut_sets.low_volts import LowVolts
from reviewer.analysis.detection.answers import Detection
from reviewer.analysis.endurance.answers import Endurance
from reviewer.analysis.grounding.answers import Grounds
from reviewer.analysis.operating_point.answers import OperatingPoints
from reviewer.analysis.paths.answers import Paths
from reviewer.analysis.protection.answers import Protection
from reviewer.analysis.sources.answers import Sources
from reviewer.analysis.switching.answers import Switches
from reviewer.analysis.switching.sneak_pickup import picked_up
from reviewer.analysis.wiring.answers import Wires
from reviewer.model.canonical_order import in_canonical_order
from reviewer.model.design import Design
from reviewer.model.estimates import Estimate, estimates_of
from reviewer.network.graph import Network

if TYPE_CHECKING:
    import networkx as nx

__all__ = ["Facts"]


class Facts:
    """What a rule may ask, in groups. All answers are frozen; asking twice costs nothing.

    They are the same for every order of the file: ``design`` is in canonical order, ``as_written`` in
    that of its file.
    """

    def __init__(self, design: Design):
        self.as_written = design
        self.design = in_canonical_order(design)
        #: the most counted work that a review has cost: a second one finds the answers there
        self.review_work = 0

    def __enter__(self) -> Facts:
        """For a design that is looked at once: what was solved of it is freed at the end."""
        return self

    def __exit__(self, *_: object) -> None:
        self.forget()

    def forget(self) -> None:
        """Let go of all answers: the groups and what they hold know each other in circles, and a command
        collects none. What is asked of these facts afterwards is worked out again; no group of them may be
        asked any more."""
        for name in [name for name in vars(self) if isinstance(getattr(Facts, name, None), cached_property)]:
            group = vars(self).pop(name)
            getattr(group, "__dict__", {}).clear()

    @cached_property
    def file_order(self) -> Mapping[str, int]:
        """Each element -> its number in the order of the file, parts first, then wires, then bundles
        and bolts: for lists of elements that are read beside it."""
        written = self.as_written
        elements = (*(f"parts/{n}" for n in written.parts), *(f"wires/{n}" for n in written.wires))
        return {element: i for i, element in enumerate((*elements, *self.network.groups))}

    @cached_property
    def estimates(self) -> tuple[Estimate, ...]:
        """Every figure of the file that is an estimate."""
        return estimates_of(self.as_written)

    @property
    def network(self) -> Network:
        """The network of the design."""
        return self.states.network

    @cached_property
    def graph(self) -> nx.MultiDiGraph:
        """The network as a frozen graph of networkx, with the declared states in which each link
        conducts with nothing failed (:func:`reviewer.network.as_networkx.as_networkx`). Made when it
        is asked for; without an operation it has no states.
        """
        from reviewer.network.as_networkx import as_networkx

        answers = self.states.answers() if self.design.operation else ()
        closed = {answer.state.name: answer.closed for answer in answers}
        unsettled = [answer.state.name for answer in answers if answer.healthy.unsettled]
        return as_networkx(self.design, self.network, closed, unsettled)

    @cached_property
    def states(self) -> States:
        """The declared states solved, what must survive, and which switches can matter."""
        return States(self.design, picked_up, lambda *asked, **how: self._low_volts(*asked, **how))

    @cached_property
    def _low_volts(self) -> LowVolts:
        return LowVolts(self.points)

    @cached_property
    def paths(self) -> Paths:
        """How sources, loads and grounds are joined: reverse feed, sneak circuits, isolation,
        returns, loops.
        """
        return Paths(self.states, self.points)

    @cached_property
    def crew(self) -> Crew:
        """What the crew can do: declared actions, change-over, inadvertent operation."""
        return Crew(self.states)

    @cached_property
    def failures(self) -> Failures:
        """Which failures cause the loss of a function, alone and in pairs."""
        return Failures(self.states, self.crew, self.points, self._low_volts)

    @cached_property
    def points(self) -> OperatingPoints:
        """Operating points of the declared states: volts and amperes."""
        return OperatingPoints(self.states)

    @cached_property
    def sources(self) -> Sources:
        """Alternators, batteries and their charge, and what ammeters read of them."""
        return Sources(self.states, self.points)

    @cached_property
    def wires(self) -> Wires:
        """What wires, pins and studs carry, what is lost on the way to a load, which loads have too
        little.
        """
        return Wires(self.states, self.points)

    @cached_property
    def endurance(self) -> Endurance:
        """What each phase asks of the sources, how long batteries last, what drains them while
        parked.
        """
        return Endurance(
            self.states, self.points, self.paths, lambda *lost: self.detection.loss_notice(*lost)
        )

    @cached_property
    def detection(self) -> Detection:
        """What shows a failure to the crew: monitors, alarms, checks before flight."""
        return Detection(self.states, self.crew, self.points, self.endurance, self._low_volts)

    @cached_property
    def switches(self) -> Switches:
        """Switches, relays and the start."""
        return Switches(self.states, self.points, self.wires, self.crew)

    @cached_property
    def grounds(self) -> Grounds:
        """Grounds and returns, and what pulsed and heavy currents do to signals."""
        return Grounds(self.states, self.points)

    @cached_property
    def protection(self) -> Protection:
        """Breakers, fuses and limiters: what each protects, carries and opens at."""
        return Protection(self.states, self.points, self.paths, self.crew, self.detection, self.sources)
