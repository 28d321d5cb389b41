"""A battery keeps half of its charge for a month in the hangar with everything off, a reserve for two months.

Why: a clock, a sense lead or a hot diode empties a battery between flights; the reserve shows it only when it is needed.

How judged: in the declared state with the fewest loads on: what stays on as solved, standby currents, diodes that leak towards a dead side, inputs that
sense a live point. Where the file gives no figure the trade's range is tried: the rule asks for the figure only where it decides. 30 days, and 60 for a
reserve.

Not covered: the battery's own self-discharge and the supply of its management circuit.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, parts, practice

HAZARD = HazardClass.MINOR
CITATIONS = (("practice", "30 days to half charge at least, 60 advised"),)
REMEDY = "Put what draws behind a switch or a relay, move its feed to the main side, or choose a diode that leaks less."


def subjects(facts: Facts):
    return [f"parts/{n}" for n in facts.design.of_kind(parts.Battery)] if facts.states.declared else []


def judge(subject: Subject, facts: Facts):
    name = subject.name
    reserve = subject.part(facts.design).purpose == "reserve"
    limit = practice("days", "advised-least" if reserve else "lead-acid-least")
    asked: list[str] = []
    for state in facts.endurance.stored_states():
        drain = next(d for d in facts.endurance.drains(state) if d.battery == name)
        if drain.days[1] < limit.low:
            least, days = drain.amperes[0], drain.days[1]
            lasts = f"{days:.0f} days" if days >= 2 else f"{days * 24:.2g} hours"
            flow = f"{least * 1000:.3g} mA flow" if least < 1 else f"{least:.3g} A flow"
            draws = [d for d in drain.draws if d.high or "takes" in d.what]
            yield Unmet(
                f"{name} is half empty after {lasts} in {state}: {flow} with everything off.",
                state=state,
                hazard=HazardClass.MAJOR if reserve else None,
                numbers=(
                    ("what draws", "; ".join(d.what for d in draws)),
                    ("least", f"{limit.low:g} days ({limit.origin})"),
                ),
            )
            return
        if drain.days[0] < limit.low:
            asked += [d.key for d in drain.draws if d.key]
    if asked:
        raise NotAssessable(", ".join(dict.fromkeys(asked)))
