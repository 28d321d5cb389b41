"""Rating of a switch or relay contact for the loads it carries: AC 43.13-1B Table 11-4 and 11-53g."""

from __future__ import annotations

from collections.abc import Sequence

from reviewer.model.record import record
from reviewer.tables.limits import silver_contact_least, switch_factor
from reviewer.tables.lookup import Figure, Origin


@record
class ContactLoad:
    """One load of a contact: continuous amperes, and its type as in a design (``"motor"``, ``"lamp"``, ...)."""

    name: str
    amperes: float
    type: str


@record
class ContactNeed:
    """Direct-current rating that a contact needs: ``amperes`` in all; ``shares`` the load's name, its amperes and the printed factor."""

    amperes: float
    shares: tuple[tuple[str, float, Figure], ...]
    rests_on: tuple[Origin, ...]


def needed_rating(loads: Sequence[ContactLoad], nominal: str) -> ContactNeed:
    """Rating for the sum of the loads, each times its factor; ``nominal`` as in a design. Table 11-4 is printed for switches and used for relay
    contacts by analogy. Raises OutsideTable for a type of load or a voltage without a factor."""
    shares = tuple((load.name, load.amperes, switch_factor(nominal, load.type)) for load in loads)
    return ContactNeed(
        sum(a * f.value for _, a, f in shares), shares, tuple(dict.fromkeys(f.origin for _, _, f in shares))
    )


def is_low_energy(amperes: float, volts: float) -> bool:
    """Whether silver contacts are unsuited to this current or voltage unless they are rated for it, 11-53g."""
    least_v, least_a = silver_contact_least()
    return volts < least_v.value or amperes < least_a.value
