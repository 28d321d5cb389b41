"""Ground leads that a magneto's p-lead shares with loads: once such a lead opens, what the loads draw
returns through the p-lead and the winding of the magneto, which is no longer grounded."""

from __future__ import annotations

from collections.abc import Iterable

from reviewer.analysis.conduction.failure_modes import OPEN
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.record import record


@record
class SharedPLeadGround:
    """A ``lead`` (an element) that alone grounds a ``magneto`` and returns ``loads`` (names) in a state."""

    magneto: str
    lead: str
    loads: tuple[str, ...]
    state: str


def shared_p_lead_grounds(design: Design, answers: Iterable[StateAnswer]) -> tuple[SharedPLeadGround, ...]:
    """The first state, for each magneto and lead, in which that lead alone grounds the magneto's p-lead and
    returns loads.

    Only loads count that are on in the state with nothing failed and dark once the lead is open: where
    a second lead is left, neither the magneto nor they have lost their ground.
    """
    found: dict[tuple[str, str], SharedPLeadGround] = {}
    for answer in answers:
        healthy, failed = answer.healthy, answer.failed
        loads = [n for n in design.of_kind(p.Consumer) if healthy.powered.get(f"parts/{n}")]
        for name in design.of_kind(p.Magneto):
            magneto = f"parts/{name}"
            opened = 0 if healthy.hot[magneto] else failed.hot[magneto]
            for i, failure in enumerate(answer.failures) if opened else ():
                wire = failure.element.startswith("wires/")
                if not (wire and opened >> i & 1 and failure.mode == OPEN):
                    continue
                dark = tuple(n for n in loads if not failed.powered[f"parts/{n}"] >> i & 1)
                if dark:
                    key = name, failure.element
                    found.setdefault(key, SharedPLeadGround(*key, dark, answer.state.name))
    return tuple(found.values())
