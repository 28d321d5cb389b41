"""What a rule says of loads that an overvoltage exposes: what is certain and what is possible."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from reviewer.network.graph import bare
from reviewer.rulebook.numbers import few, quantity

if TYPE_CHECKING:
    from reviewer.analysis.sources.overvoltage import Beyond


def exposures(beyond: Sequence[Beyond]) -> str:
    """``exposes radio to 40 V (rated 32 V), and may expose lamp to 40 V (rated 30 V)``: whom no battery
    keeps below its rating, and whom one may keep there for a while."""
    said = []
    for verb, sure in (("exposes", True), ("may expose", False)):
        each = [_exposed(one, sure) for one in beyond if one.sure is sure]
        if each:
            said.append(f"{verb} {few(each)}")
    return ", and ".join(said)


def beside_ratings(beyond: Sequence[Beyond]) -> Iterator[tuple[str, str]]:
    """The most volts of each beside its rated voltage, as numbers of a finding."""
    for one in beyond:
        volts = quantity(one.volts, "V", one.rated)
        yield bare(one.element), f"{volts}, rated {quantity(one.rated, 'V')}"


def held_while(beyond: Sequence[Beyond]) -> Iterator[tuple[str, str]]:
    """What keeps those lower that may be exposed, as a number of a finding."""
    batteries = dict.fromkeys(bare(battery) for one in beyond if not one.sure for battery in one.holding)
    if batteries:
        take = "takes" if len(batteries) == 1 else "take"
        words = f"{' and '.join(batteries)} {take} current: a battery boils, and may disconnect"
        yield "lower while", f"{words}: common practice (no published source)"


def _exposed(one: Beyond, sure: bool) -> str:
    held = sure and bool(one.holding)
    volts = quantity(one.least if held else one.volts, "V", one.rated)
    return f"{bare(one.element)} to {volts}{' or more' if held else ''} (rated {quantity(one.rated, 'V')})"
