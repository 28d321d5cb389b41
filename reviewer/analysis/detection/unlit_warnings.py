"""Lamps that are dark in normal flight and may warn of the loss of a source, though no monitor is shown
on them or the file does not say at which volts the switch before them moves."""

from __future__ import annotations

from collections.abc import Iterator

from reviewer.analysis.conduction.failure_modes import OPEN, Failure
from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.conduction.sensed_positions import following_switch_of, unknown_volts
from reviewer.analysis.conduction.states import StateAnswer
from reviewer.model.parts import Load


def unlit_warnings(normal: StateAnswer, source: str) -> Iterator[str]:
    """For each lamp, what the file lacks to know whether it warns of the loss of a source (an element) in the
    normal state: the volts of a switch operated by voltage, or the monitor that the lamp shows."""
    design, network = normal.design, normal.network
    shown = {monitor.displayed_on for monitor in design.watch.monitors.values()}
    lamps = [n for n in design.of_kind(Load) if design.part(n, Load).type == "lamp"]
    dark = [n for n in lamps if not normal.healthy.powered[f"parts/{n}"]]
    after = conduct(network, normal.state, [Failure(source, OPEN)], normal.healthy).powered if dark else {}
    for lamp in dark:
        following = following_switch_of(design, network, lamp)
        if following and not following[1] and (lacks := unknown_volts(design, following[0])):
            yield f"{lacks}, for whether {lamp} lights"
        elif after[f"parts/{lamp}"] and lamp not in shown:
            yield f"a monitor `displayed-on` {lamp}, which lights with the loss"
