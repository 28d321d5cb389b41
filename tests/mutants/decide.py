"""Every mutant decided, before any review, and the list of decisions as a file."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from functools import cache
from pathlib import Path
from typing import Any

import yaml

from tests.mutants import decide_circuits as circuits
from tests.mutants import decide_figures as figures
from tests.mutants import decide_monitors as monitoring
from tests.mutants import decide_switches as switches
from tests.mutants import decide_wires as wires
from tests.mutants.currents import Solved
from tests.mutants.evaluated import Evaluated
from tests.mutants.mutant import sound
from tests.mutants.operators import mutants
from tests.mutants.verdict import Case, Verdict

LIST = Path(__file__).parent / "decided.yaml"
HEAD = """\
# The mutants and what they are, decided by the plain evaluator, solved points and printed
# tables before any review.
# Written by `python -m tests.mutants decide`. A mutant that is left out no computed criterion
# decides.
"""
DECIDED_BY: dict[str, Callable[[Case], Verdict]] = {
    "protection-removed": circuits.protection_removed,
    "rating-raised": circuits.rating_raised,
    "rating-lowered": figures.rating_lowered,
    "reach-lost": circuits.reach_lost,
    "label-of-another": switches.label_doubled,
    "label-of-own-switch": switches.label_of_switch,
    "wire-thinned": wires.wire_changed,
    "wire-thickened": wires.wire_better,
    "wire-lengthened": wires.wire_changed,
    "wire-shortened": wires.wire_better,
    "ground-lead-cut": circuits.ground_lead_cut,
    "return-cut": circuits.return_cut,
    "return-moved": circuits.return_moved,
    "charging-line-cut": circuits.charging_line_cut,
    "sense-lead-cut": monitoring.sense_lead_cut,
    "channels-joined": circuits.channels_joined,
    "feed-moved": circuits.feed_moved,
    "one-bundle": circuits.one_bundle,
    "switch-bypassed": circuits.switch_bypassed,
    "guard-removed": switches.guard_removed,
    "diode-reversed": circuits.diode_changed,
    "diode-shorted": circuits.diode_changed,
    "diode-removed": circuits.diode_changed,
    "suppression-removed": circuits.suppression_removed,
    "duty-exchanged": switches.duty_exchanged,
    "contact-rating-tenth": switches.contact_small,
    "contact-rating-tenfold": switches.contact_large,
    "pin-rating-lowered": switches.pin_small,
    "capacity-fifth": figures.capacity_fifth,
    "capacity-double": figures.capacity_double,
    "alternator-of-5-A": figures.alternator_small,
    "trip-none": figures.trip_wrong,
    "trip-30-V": figures.trip_wrong,
    "alarm-removed": monitoring.alarm_removed,
    "load-of-60-A": figures.load_huge,
}


@cache
def base_of(design: str) -> tuple[Evaluated, Solved]:
    """A sound design as it is evaluated and solved."""
    of = Evaluated(sound(design))
    return of, Solved(of)


def decide(key: str) -> Verdict:
    """What one mutant is."""
    mutant = mutants()[key]
    return DECIDED_BY[mutant.operator](Case(mutant, *base_of(mutant.design)))


def decide_all(processes: int = 2) -> dict[str, Verdict]:
    """What every mutant is."""
    keys = list(mutants())
    with ProcessPoolExecutor(processes) as pool:
        return dict(zip(keys, pool.map(decide, keys, chunksize=8), strict=True))


def write(verdicts: dict[str, Verdict]) -> None:
    """Write the list, a line for each mutant."""
    lines = [HEAD]
    for key, verdict in verdicts.items():
        entry: dict[str, Any] = {"defect": verdict.defect, "why": verdict.why}
        if verdict.names:
            entry |= {"names": list(verdict.names), "chapters": list(verdict.chapters)}
        told = yaml.safe_dump(
            {key: entry}, default_flow_style=True, sort_keys=False, width=10**6, allow_unicode=True
        )
        lines.append(told.strip()[1:-1] + "\n")
    LIST.write_text("".join(lines), encoding="utf-8")


def decided() -> dict[str, Verdict]:
    """The list as committed."""
    entries = yaml.load(LIST.read_text(encoding="utf-8"), Loader=yaml.CSafeLoader)
    return {
        key: Verdict(
            e["defect"] if isinstance(e["defect"], str) else ("no", "yes")[e["defect"]],
            e["why"],
            tuple(e.get("names", ())),
            tuple(e.get("chapters", ())),
        )
        for key, e in entries.items()
    }
