"""All mutants of all sound designs."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import cache

from tests.mutants import channels, conductors, figures, protection
from tests.mutants.mutant import SOUND, Mutant, sound
from tests.rule_cases import Data

OPERATORS: tuple[Callable[[str, Data], Iterator[Mutant]], ...] = (
    protection.removed,
    protection.raised,
    protection.lowered,
    protection.out_of_reach,
    protection.labelled_twice,
    protection.labelled_as_own_switch,
    conductors.thinned,
    conductors.thickened,
    conductors.lengthened,
    conductors.shortened,
    conductors.ground_lead_cut,
    conductors.return_cut,
    conductors.return_moved,
    conductors.charging_cut,
    conductors.sense_lead_cut,
    channels.joined,
    channels.one_source,
    channels.one_bundle,
    channels.bypassed,
    channels.unguarded,
    channels.diode_reversed,
    channels.diode_shorted,
    channels.diode_removed,
    figures.unsuppressed,
    figures.duty_exchanged,
    figures.contacts_too_small,
    figures.pins_too_small,
    figures.small_batteries,
    figures.small_alternators,
    figures.silent_monitors,
    figures.hungry_loads,
)


@cache
def mutants() -> dict[str, Mutant]:
    """Every mutant by its name, in the order of operators and designs."""
    made = [m for operator in OPERATORS for design in SOUND for m in operator(design, sound(design))]
    return {m.key: m for m in made}
