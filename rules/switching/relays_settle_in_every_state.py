"""In every declared state the relays and the alternator field settle.

Why: a relay that opens its own coil circuit chatters: its contacts burn and what it feeds flickers.

How judged: each state is solved from cold until nothing changes. A state that does not settle in
twice as many rounds as there are relays and sources is reported, and its results are not reliable.

Not covered: relays that chatter only after a failure.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, and_list, bare

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "not there when wanted"
CITATIONS = (("practice", "a coil must not be fed through its own normally-closed contact"),)
REMEDY = "Feed the coil from a point that its own contacts do not switch off."


def subjects(facts: Facts):
    return [f"operation/states/{n}" for n in facts.states.declared]


def judge(subject: Subject, facts: Facts):
    state = subject.name
    if facts.states.answer(state).healthy.unsettled:
        relays = facts.states.chattering_relays(state)
        names = and_list(map(bare, relays))
        which = f"{names} {'chatter' if relays[1:] else 'chatters'}" if relays else "Relays chatter"
        numbers = (("relays" if relays[1:] else "relay", names),) if relays else ()
        yield Unmet(f"{which} in {state}.", state=state, elements=relays, numbers=numbers)
