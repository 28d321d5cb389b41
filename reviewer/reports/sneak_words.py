"""Relays that sneak currents energise in a state, in sentences."""

from __future__ import annotations

from collections.abc import Sequence

from reviewer.model.name_lists import and_list
from reviewer.questions.sneak_relays import EnergisedBySneak
from reviewer.reports.wording import element_words, shown


def sneak_sentences(sneaks: Sequence[EnergisedBySneak]) -> list[str]:
    """One sentence for each relay, with the state and the volts across its coil."""
    return list(map(_sentence, sneaks))


def _sentence(one: EnergisedBySneak) -> str:
    relay, state = element_words(one.relay), shown(one.state)
    through = and_list([element_words(e) for e in one.through])
    current = f"current through {through}" if through else "its own circuit"
    if one.missing:
        return f"Whether {current} keeps {relay} energised in {state} is not known. " + (
            f"Missing data: {shown(one.missing)}."
        )
    if one.picks_up:
        return (
            f"In {state} {current} picks up {relay}: {one.volts:.2f} V across its coil, pickup voltage "
            f"{one.limit:g} V."
        )
    stays = f"; {and_list(list(map(shown, one.live)))} energised with it" if one.live else ""
    return (
        f"{relay}, once energised, does not drop out in {state}: {current} leaves {one.volts:.2f} V across "
        f"its coil, dropout voltage {one.limit:g} V{stays}."
    )
