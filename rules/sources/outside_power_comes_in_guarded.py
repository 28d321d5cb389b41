"""Outside power reaches the aircraft through a protector and a contactor of its own that stays open when the polarity is wrong.

Why: a cart connected the wrong way round destroys every unit on the bus, and live pins on the outside are a dead short for the next spanner.

How judged: with every switch closed, each way from a socket's positive to a bus or another source must pass a protector, and one contactor must open all
of them. In every declared state that contactor must not pull in with the socket's poles exchanged and every other source open, and with nothing plugged
in no source of the aircraft may feed the pins.

Not covered: over-voltage of the outside source; this is not modelled.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, bare, parts

HAZARD = HazardClass.MAJOR
CITATIONS = (
    ("cfr-23-1351", "(f), reverse polarity of external power; clause from memory"),
    ("practice", "a contactor of its own with a diode in its coil"),
)
REMEDY = "Fit a protector and a contactor at the socket, its coil fed from the socket's own positive through a diode."


def subjects(facts: Facts):
    sockets = facts.design.of_kind(parts.GroundPower)
    return [f"parts/{n}" for n in sockets] if sockets and facts.states.declared else []


def judge(subject: Subject, facts: Facts):
    socket = facts.paths.sockets[subject.pointer]
    wrong: list[str] = []
    path: tuple[str, ...] = ()
    state = ""
    if socket.unprotected:
        wrong.append("no protector stands between it and the aircraft")
        path = socket.unprotected
    if socket.uncontrolled:
        wrong.append("no contactor of its own can disconnect it")
        path = path or socket.uncontrolled
    if socket.reversed_in:
        contactor, state = socket.reversed_in
        wrong.append(f"{bare(contactor)} pulls in with the polarity reversed")
    if socket.live_pins:
        state, source, way = socket.live_pins
        path = path or way
        wrong.append(f"{bare(source)} feeds its pins with nothing plugged in")
    if wrong:
        yield Unmet(f"{subject.name} is not guarded: {'; '.join(wrong)}.", state=state, path=path)
