"""The two wires of a pair run together.

Why: a pair keeps noise out as both wires pick up the same. Where one takes another route or is
longer, the difference is noise again.

How judged: the wires that name one `pair` are two; they run in one bundle, or both in none; their
lengths differ by a tenth at most. A pair that passes a connector has a name on each side of it.

Not covered: how it is twisted, its impedance and its termination.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, and_list, exceeds, quantity

HAZARD = HazardClass.MINOR
CONSEQUENCE = "to be corrected"
CITATIONS = (("practice", "both wires of a pair run together and are equally long; a tenth has no source"),)
REMEDY = "Run the two wires together from end to end, twisted, and cut them to one length."
#: how much longer one may be, as a share
LONGER = 0.1


def subjects(facts: Facts):
    return [f"wires/{names[0]}" for names in _pairs(facts).values()]


def judge(subject: Subject, facts: Facts):
    wires = facts.design.wires
    pair = wires[subject.name].pair
    names = next(names for names in _pairs(facts).values() if subject.name in names)
    if len(names) != 2:
        counted = "one wire" if len(names) == 1 else f"{len(names)} wires: {', '.join(names)}"
        yield Unmet(f"Pair {pair} has {counted}; a pair has two.", field="pair", path=_path(names))
        return
    one, other = (wires[name] for name in names)
    if one.bundle != other.bundle:
        ways = and_list(
            f"{name} in bundle {wires[name].bundle}" if wires[name].bundle else f"{name} in no bundle"
            for name in names
        )
        yield Unmet(f"The wires of pair {pair} run apart: {ways}.", field="pair", path=_path(names))
        return
    if one.length is None or other.length is None:
        missing = [name for name in names if wires[name].length is None]
        raise NotAssessable(f"`length` of {and_list(missing)}")
    if exceeds(max(one.length, other.length), min(one.length, other.length) * (1 + LONGER)):
        lengths = f"{names[0]} {quantity(one.length, 'm')} and {names[1]} {quantity(other.length, 'm')}"
        yield Unmet(
            f"The wires of pair {pair} are not equally long: {lengths}.", field="pair", path=_path(names)
        )


def _path(names: list[str]) -> tuple[str, ...]:
    return tuple(f"wires/{name}" for name in names)


def _pairs(facts: Facts) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for name, wire in facts.design.wires.items():
        if wire.pair is not None:
            found.setdefault(wire.pair, []).append(name)
    return found
