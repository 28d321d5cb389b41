"""Each battery is charged at the volts that it wants, at its own posts.

Why: a few tenths too few sulphate a lead-acid reserve behind its diode until it fails when it is asked; a few too many boil it, or make a lithium battery open.

How judged: the volts at its posts are solved in every phase of normal flight in which an alternator charges it. None may be above the window, and they may
be below it for at most half of the stated time. The window is `charge-from` and `charge-to`; without them common practice: lead-acid 13.8 V, a reserve of it
13.5 V, to 14.7 V; lithium 13.8 V, a reserve of it 13.4 V, to 14.6 V; twice that at 28 V.

Not covered: temperature of the battery, and how full it gets in the time.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, parts

HAZARD = HazardClass.MAJOR
CITATIONS = (
    ("practice", "charging windows by chemistry; a silicon diode takes 0.6 to 0.8 V of what the bus has"),
)
REMEDY = "Set the regulator to what the battery wants; behind a diode use one with little drop, an ideal one, or a charger."


def subjects(facts: Facts):
    return (
        list(facts.sources.charged) if facts.design.operation and facts.design.of_kind(parts.Battery) else []
    )


def judge(subject: Subject, facts: Facts):
    name = subject.name
    battery = subject.part(facts.design)
    if battery.chemistry is None:
        raise NotAssessable(f"`chemistry` of {name}")
    if facts.sources.unsized(subject.pointer):
        raise NotAssessable("; ".join(facts.sources.unsized(subject.pointer)))
    window, held = facts.sources.window(name), facts.sources.held(subject.pointer)
    most = max(held, key=lambda h: h.volts)
    if most.volts > window.high:
        yield _unmet(name, most, f"more than the {window.high:g} V of {window.high_basis}", window.high)
        return
    below = [h for h in held if h.volts < window.low]
    if below and len(below) < len(held) and any(h.seconds is None for h in held):
        raise NotAssessable(f"`duration` of each phase in which {name} is charged")
    share = sum(h.seconds or 1.0 for h in below) / sum(h.seconds or 1.0 for h in held)
    if share > 0.5:
        least = min(below, key=lambda h: h.volts)
        yield _unmet(
            name,
            least,
            f"less than the {window.low:g} V of {window.low_basis}, for {share:.0%} of the time",
            window.low,
        )


def _unmet(name: str, held, what: str, limit: float) -> Unmet:
    numbers = [
        ("at its posts", f"{held.volts:.2f} V"),
        ("limit", f"{limit:g} V"),
        ("current into it", f"{held.amps:.2f} A"),
    ]
    if held.fills_to is not None:
        numbers.append(("fills to", f"{held.fills_to:.0%}"))
    if held.assumed:
        numbers.append(("typical, not from the file", "; ".join(held.assumed)))
    return Unmet(
        f"{name} is charged at {held.volts:.2f} V in {held.flown}, {what}.",
        state=held.state,
        numbers=tuple(numbers),
    )
