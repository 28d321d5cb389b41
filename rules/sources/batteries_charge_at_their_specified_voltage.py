"""Each battery is charged at its specified voltage, at its own terminals.

Why: a few tenths of a volt too low sulphate a lead-acid reserve behind its diode until it fails in
use. A few too high boil it, or make a lithium battery disconnect.

How judged: the voltage at its terminals is solved in every normal flight phase in which an
alternator charges it, itself or by a converter. So it is in every state in which a charger does, or
would if the state listed it. At its current limit a charger alone is judged at its set point too,
which it reaches later. It may never exceed the range. It may be below the range for at most half of
the stated time; with chargers alone in no state, unless at their current limit. The range is
`min-charge-voltage` to `max-charge-voltage`, else common practice. That is for lead-acid 13.8 V
(reserve 13.5 V) to 14.7 V, for lithium 13.8 V (reserve 13.4 V) to 14.6 V, twice that at 28 V. The
longest phase below the range is named; an alternator below its set point is overloaded.

Not covered: battery temperature, and the state of charge reached in the time.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, bare, percent, quantity

HAZARD, CONSEQUENCE = HazardClass.MAJOR, "runs short"
CITATIONS = (("practice", "charging voltage by chemistry; a silicon diode drops 0.6 to 0.8 V"),)
REMEDY = "Set the regulator to the battery's voltage; behind a diode use one of low drop, or a charger."


def subjects(facts: Facts):
    charged = (*facts.sources.charged, *facts.sources.unlisted_charges) if facts.design.operation else ()
    return list(dict.fromkeys(charged))


def judge(subject: Subject, facts: Facts):
    name = subject.name
    if subject.part(facts.design).chemistry is None:
        raise NotAssessable(f"`chemistry` of {name}")
    if facts.sources.unsized(subject.pointer):
        raise NotAssessable("; ".join(facts.sources.unsized(subject.pointer)))
    window, held = facts.sources.window(name), facts.sources.charging_points(subject.pointer)
    if (most := max(held, key=lambda h: h.volts)).volts > window.high:
        high = f"maximum {quantity(window.high, 'V')}, {window.high_basis}"
        yield _unmet(subject, facts, most, high, window, window.high)
        return
    normal, low = facts.states.operation.normal, f"minimum {quantity(window.low, 'V')}, {window.low_basis}"
    for least in (h for h in held if h.by_charger and h.volts < window.low and not h.overloaded):
        yield _unmet(subject, facts, least, low, window, window.low)
        return
    driven = [h for h in held if not h.by_charger]
    below = [h for h in driven if h.volts < window.low]
    if below and len(below) < len(driven) and any(h.seconds is None for h in driven):
        raise NotAssessable(f"{facts.sources.untimed(driven)}, in which {name} is charged")
    share = sum(h.seconds or 1.0 for h in below) / (sum(h.seconds or 1.0 for h in driven) or 1.0)
    if share > 0.5:
        least = max(below, key=lambda h: (h.seconds or 0.0, h.state == normal, -h.volts))
        low += f"; below it {'throughout' if share >= 1 else f'for {percent(share)} of the time'}"
        yield _unmet(subject, facts, least, low, window, window.low)


def _unmet(subject: Subject, facts: Facts, held, what: str, window, limit: float) -> Unmet:
    name, keys = subject.name, facts.sources.set_points(held.givers)
    converted = all(key.endswith("/output-voltage") for key in keys)
    holder = "charger" if held.by_charger else "converter" if converted else "regulator"
    discharges = round(held.amps, 2) < 0
    flows = f"{'dis' if discharges else ''}charging current", quantity(abs(held.amps), "A")
    numbers = [("at its terminals", quantity(held.volts, "V", limit)), ("limit", quantity(limit, "V")), flows]
    numbers += [("state of charge reached", percent(held.fills_to))] if held.fills_to is not None else []
    numbers += [("typical values, not from the file", "; ".join(held.assumed))] if held.assumed else []
    charging = held.overloaded or (held.givers if held.by_charger else ())
    numbers += [("charged by", ", ".join(map(bare, charging)))] if charging else []
    over = " and ".join(map(bare, held.overloaded)) if held.volts < limit else ""
    ends = f"{quantity(window.low, 'V', window.high)} to {quantity(window.high, 'V', window.low)}"
    behind = "." if held.by_charger else f";{REMEDY.partition(';')[2]}"
    mend = f"Set the {holder} so that {name} gets {ends}{behind}"
    mend = f"Remove load from {over} in {held.state}, or fit a larger alternator." if over else mend
    return Unmet(
        f"{name} {'discharges' if discharges else 'is charged'} at {quantity(held.volts, 'V', limit)} in "
        f"{held.flown}{f': overload of {over}' if over else ''}; {what}.",
        state=held.state,
        consequence="can burn" if held.volts > limit else "",
        numbers=tuple(numbers),
        changes=keys if held.volts > limit else (),
        remedy=mend,
    )
