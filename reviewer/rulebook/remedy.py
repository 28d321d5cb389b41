"""What puts a finding right, with the terminals, wires, sizes and switches that were worked out for it.

Each is what may be done literally: alternatives that would not clear the finding are left out.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from reviewer.analysis.cut_sets.single_points import SinglePoint
from reviewer.analysis.detection.new_checks import NewCheck
from reviewer.analysis.facts import Facts
from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.protection.fault_loops import Fault
from reviewer.analysis.protection.starter_cables import Start
from reviewer.analysis.sources.overvoltage import Beyond
from reviewer.analysis.wiring.undervoltage import UndervoltageLoad
from reviewer.model import parts
from reviewer.model.quantity_words import at_least, at_most
from reviewer.model.resolved_states import ResolvedState
from reviewer.model.rounding import exceeds
from reviewer.network.graph import bare
from reviewer.rulebook import magneto_leads
from reviewer.rulebook.crossed_leads import crossed, exchange_words
from reviewer.rulebook.lost_channels import LostChannels
from reviewer.rulebook.numbers import and_list, few, quantity
from reviewer.rulebook.starter_feeds import by_contactor
from reviewer.rulebook.trade_words import larger_wire
from reviewer.rulebook.trial_repairs import Change
from reviewer.tables.made_sizes import made_between, made_words
from reviewer.tables.practice import practice

#: wires that are named
_NAMED = 6


def returns_at_structure(body: str, away: Mapping[str, str]) -> str:
    """For returns that meet in structure (``body``) and go on together to the blocks of the negatives of
    batteries (battery -> block): the negative to the structure."""
    leads = and_list(f"the negative of {battery}" for battery in away)
    blocks = and_list(dict.fromkeys(away.values()))
    return f"Take {leads} to {body}, not by way of {blocks}, or run the return by itself to {blocks}."


def by_let_through(wire: str, fault: Fault, facts: Facts) -> str:
    """The size of a wire that withstands a short, and of the fuse if such a one carries its load."""
    amps = facts.protection.rating_by_let_through(fault)
    larger = larger_wire(facts.protection.size_by_let_through(fault), [wire])
    smaller = f"fit a fuse of {quantity(amps, 'A')} or less as {fault.protector}" if amps else "a faster fuse"
    return f"Use {larger}, or {smaller}."


def output_rating(low: float, high: float) -> str:
    """The ratings of protection that are made from ``low`` to ``high``, in A; the range where none is."""
    sizes = [f"{size:g}" for size in made_between("amperes", low, high)]
    return f"{' or '.join(sizes)} A" if sizes else f"{low:g} to {quantity(high, 'A')}"


def starter_cable(name: str, start: Start, hot: Sequence[str], facts: Facts) -> str:
    """The size of a wire undersized for a start, with those of the ``hot`` ones of that size; where no
    engine is cranked, that the starter is not to run there."""
    cables = facts.protection.starter_cables
    if not cables.cranks(start):
        return f"Wire the start circuit so that {and_list(start.starters)} rests in {start.flown.state}."
    if contactor := by_contactor(start.flown.state, f"wires/{name}", facts):
        return contactor
    size = cables.larger(name)
    larger = larger_wire(size, [wire for wire in hot if wire == name or cables.larger(wire) == size])
    if start.lost and size:
        return f"Run a second strap beside {start.lost}, of {size} or larger, or use {larger}."
    return f"Use {larger}."


def cooler_wire(name: str, amperes: float, bundled: bool, facts: Facts) -> str:
    """The size of a wire that carries a current; another insulation or a run of its own, where that does."""
    loads = facts.wires.wire_loads
    better = loads.insulation_for(name)
    ways = [f"Use {loads.larger(name)}"]
    ways += [f"insulation of {better:g} C or more"] if better else []
    ways += ["run it in no bundle"] if bundled and not exceeds(amperes, loads.alone(name)) else []
    return f"{', or '.join(ways)}."


def lower_trip(beyond: Sequence[Beyond], trips: bool, idle: bool, facts: Facts) -> str:
    """A trip below what all equipment withstands, which ``trips`` now or is ``idle``; where no usual trip is
    so low, a higher rating."""
    usual = practice("volts", "overvoltage-trip").low * facts.design.aircraft.scale
    weak = [b for b in beyond if b.rated <= usual]
    rest = [b.rated for b in beyond if b.rated > usual]
    trip = f"Fit overvoltage protection{' that opens the output' if idle else ''}"
    joint = " and" if idle else " that"
    below = (
        f"{trip}{joint} trips below {quantity(min(rest), 'V')}" if rest else trip if not trips or idle else ""
    )
    if not weak:
        return f"{below}, or equipment rated higher."
    least = ["for more than the trip" if below else f"{_rated_volts(b, facts)} or more" for b in weak]
    higher = few([f"{bare(b.element)} rated {volts}" for b, volts in zip(weak, least, strict=True)])
    return f"{below}, and {higher}." if below else f"Fit {higher}."


def _rated_volts(weak: Beyond, facts: Facts) -> str:
    """The least rating of what is exposed to a voltage; of a capacitor one that is made."""
    made = bare(weak.element) in facts.design.of_kind(parts.Capacitor)
    return made_words("capacitors", weak.volts) if made else at_least(weak.volts, "V")


def capacitor(element: str, volts: float, facts: Facts) -> str:
    """The voltage of a capacitor (a pointer) that has so many volts with nothing failed and too few for
    them: what it has until the overvoltage protection trips, where the file tells that."""
    operated = facts.design.operation is not None
    machines = [m for m in facts.sources.at_work if _powers(m, element, facts)] if operated else []
    try:
        ends = {machine: facts.sources.ceiling(machine) for machine in machines}
        beyond = [b for m, end in ends.items() for b in facts.sources.beyond(m, end)]
    except NotAssessable:
        return f"{_capacitor(volts)}, and of more than the overvoltage trip lets through."
    if not all(end.sensed for end in ends.values()):
        return f"{_capacitor(volts)}, and overvoltage protection that trips below its voltage."
    return f"{_capacitor(max([volts, *(b.volts for b in beyond if b.element == element)]))}."


def _capacitor(volts: float) -> str:
    return f"Fit a capacitor of {made_words('capacitors', volts)} or more"


def _powers(machine: str, element: str, facts: Facts) -> bool:
    return any(element in own.rated for own in facts.sources.exposed(machine).values())


def crossed_leads(magneto: str, facts: Facts) -> tuple[str, str]:
    """The p-lead that is exchanged with another so that every magneto is right, as a change, and what is done
    in words; both "" where no exchange does it."""
    change = crossed(magneto, facts)
    return ("", "") if change is None else _exchange(change, facts)


def crossed_behind_ground(magneto: str, facts: Facts) -> tuple[str, str, tuple[str, ...]]:
    """The same where the switch of a magneto lacks its ground too, and the states in which the magneto fires
    with that ground alone; "" and none where no exchange does it."""
    found = magneto_leads.crossed_behind_ground(magneto, facts)
    return ("", "", ()) if found is None else (*_exchange(found[0], facts), found[1])


def _exchange(change: Change, facts: Facts) -> tuple[str, str]:
    wire, ends = min(change.moved.items())
    side = "from" if facts.design.wires[wire].from_ in ends else "to"
    return f"wires/{wire}/{side}", exchange_words(change)


def switches_left(function: str, dark: Sequence[str], state: ResolvedState, facts: Facts) -> str:
    """The switches that a state sets otherwise than normal flight and that take the power of the units of a
    function which are ``dark``; "" where anything else takes it."""
    normal = facts.states.answer(facts.states.operation.normal).state.switches
    off: dict[str, str] = {}
    for unit in dark:
        path = facts.states.dead_path(state.name, f"parts/{unit}")
        feed = facts.states.path_to("", f"parts/{unit}")
        moved = [n for n in map(bare, feed) if n in normal and state.switches.get(n) != normal[n]]
        if path[-2:-1] and bare(path[-2]) in moved:
            off[unit] = and_list(f"{n} at {normal[n]}" for n in moved)
    if facts.states.lost_with(function, [unit for unit in dark if unit not in off]):
        return ""
    each = [on for unit, on in off.items() if not facts.states.lost_with(function, {*dark} - {unit})]
    switches = " or ".join(dict.fromkeys(each)) or and_list(dict.fromkeys(off.values()))
    stops = f"a state that stops what needs {function} lists it under `without`"
    return f"Leave {switches} in {state.name}; {stops}."


def run_apart(bundle: str, points: Sequence[SinglePoint], facts: Facts) -> str:
    """The wires of a severed bundle (its pointer) that are run outside of it, as few as keep what is lost and
    lose nothing where they are severed; "" where none do."""
    own, state = facts.network.bundles[bare(bundle)], points[0].state
    there = [point for point in points if point.state == state]
    functions = list(dict.fromkeys(point.function for point in there))
    lost = list(dict.fromkeys(load for point in there for load in point.lost))

    def wires(load: str) -> list[str]:
        element = f"parts/{load}"
        circuit = facts.states.path_to(state, element) + facts.states.path_back(state, element)
        return [wire for wire in own if wire in circuit]

    def cost(loads: tuple[str, ...]) -> int:
        return sum(len(wires(load)) or len(own) for load in loads)

    channels = LostChannels(facts.design, lost)
    saved = (channels.fewest(function, cost) for function in functions)
    loads = list(dict.fromkeys(load for several in saved for load in several))
    apart = list(dict.fromkeys(wire for load in loads for wire in wires(load)))
    rest = [wire for wire in own if wire not in apart]
    kept = [facts.failures.works_without(bundle, state, left) for left in (apart, rest)] if apart else []
    if not kept or not all(works.issuperset(functions) for works in kept):
        # the wires are what both channels share, so that they need others
        spared = not any(facts.states.lost_with(function, loads) for function in functions)
        words = f"Wire {and_list(loads)} outside bundle {bare(bundle)}, on the other side of the aircraft."
        return words if loads and spared else ""
    run = f"Run {few([bare(wire) for wire in apart], _NAMED)} (for {and_list(loads)})"
    return f"{run} apart from bundle {bare(bundle)}, on the other side of the aircraft."


def less_drain(battery: str, draw: Any, state: str, path: Sequence[str]) -> str:
    """What to do about the largest drain of a parked battery; where that is fed by a ``path`` on which the
    battery backfeeds another source, about that."""
    name = bare(draw.element)
    if path:
        apart = f"Keep {battery} apart from the source that it backfeeds on the way to {name}"
        return f"{apart}, by a diode or an open contact."
    if draw.by_load:
        return f"Switch {name} off in {state}, or feed it from what is switched off there."
    if draw.leaks:
        return f"Choose a diode for {name} with less leakage, or open a switch in series with it."
    return "Put the sense lead behind a switch or relay, or sense with a higher input resistance."


def more_volts(low: UndervoltageLoad, converters: Sequence[str]) -> str:
    """What to do about a load that is behind some converters (names), or wants more than what feeds it has
    at its own terminals; "" for one that loses its volts on the way."""
    if converters:
        return f"Fit a converter of a higher rating as {converters[0]}, or take load off it."
    if not low.beyond_source:
        return ""
    has = quantity(low.source_volts, "V", low.minimum)
    fit = f"Fit a unit that works at {at_most(low.volts, 'V')}, or feed it from a source of higher voltage"
    itself = f"itself has {has}" if low.figured is None else f"itself may have as little as {has}"
    return f"A larger wire does not help: {bare(low.source)} {itself}. {fit}."


def without_holding_wires(relay: str, wires: Sequence[str]) -> str:
    """Which wires (pointers) are taken off so that a relay (a pointer) is not kept energised by its own
    contact; "" for none."""
    name, off = bare(relay), and_list(map(bare, wires))
    return f"Remove {off}, by which the contact of {name} keeps its own coil energised." if wires else ""


def declared(elements: Iterable[str], facts: Facts) -> tuple[str, ...]:
    """That a declared check is corrected which is to prove one of some elements and does not, as changes."""
    names = {bare(element) for element in elements}
    checks = facts.design.watch.checks.items()
    return tuple(f"watch/checks/{n}/proves" for n, check in checks if names.intersection(check.proves))


def added(new: Sequence[Sequence[NewCheck]]) -> tuple[str, ...]:
    """That a check is added which shows each of some failures, as changes: what one shows of several findings
    is one."""
    each = [{(c.switch, c.position) for c in checks} for checks in new]
    common = set.intersection(*each) if each else set()
    return tuple(f"watch/checks/{switch} at {position}/add" for switch, position in sorted(common))


def check_words(new: Sequence[Sequence[NewCheck]], state: str) -> str:
    """Which checks would show some latent failures, one or more for each; "" where of one none does."""
    moved: dict[tuple[str, str], dict[str, None]] = {}
    for checks in new:
        known = [c for c in checks if (c.switch, c.position) in moved] or list(checks[:1])
        if not known:
            return ""
        for one in known:
            moved.setdefault((one.switch, one.position), {})[one.function] = None
    watched = and_list(dict.fromkeys(f for functions in moved.values() for f in functions))
    at = ", and another with ".join(f"{switch} at {position}" for switch, position in moved)
    words = f"Add a pre-flight check with {at}, all else as in {state}"
    return f"{words}, in which {watched} must work; or a monitor that shows the failure." if moved else ""


def silent_alarm(monitor: str, side: str, reads: float, unit: str) -> str:
    """The figure at which the alarm of a monitor, ``below`` or ``above`` (``side``), is silent where that
    ``reads`` so much at the worst; of a current that is nothing, or turned, what to look for."""
    if unit == "A" and side == "below" and reads <= 0:
        return (
            f"Find why {monitor} reads no output, as its leads or a source off line; an alarm at 0 A or less "
            "shows no loss."
        )
    limit = f"{at_least(reads, unit)} or more" if side == "above" else f"{at_most(reads, unit)} or less"
    rest = ", and above the voltage of a battery at rest" if side == "below" and unit == "V" else ""
    return f"Set the alarm of {monitor} to {limit}{rest}."


def contact(key: str, amperes: float, state: str, element: str, facts: Facts) -> str:
    """Which rating of a contact of a switch or relay (an element) carries a current of a state, in A, or, of
    a switch, that a relay does it; ``key`` is the rating that is too low."""
    if contactor := by_contactor(state, element, facts):
        return contactor
    declared, part = facts.states.declared.get(state), facts.design.parts[bare(element)]
    start = declared is not None and declared.engine == "cranking" and key == "rating"
    brief = ", or for the start with as much `short-time-rating`" if start else ""
    relay = "" if isinstance(part, parts.Electromagnet) else ", or let the switch command a relay"
    return f"Use contacts rated {made_words('contacts', amperes)} or more for DC (`{key}`){brief}{relay}."
