"""External power has circuit protection and a contactor that stays open on reverse polarity.

Why: a ground cart connected with reverse polarity destroys every unit on the bus, and live pins on
the outside are a dead short for the next spanner.

How judged: with every switch closed, each path from a socket's positive to a bus or another source
must pass circuit protection, and one contactor must open all of them. In every declared state that
contactor must not pick up with the socket's polarity reversed and every other source open, and with
nothing plugged in no source of the aircraft may energise the pins.

Not covered: overvoltage of the external source, which is not modelled.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, bare, parts

HAZARD = HazardClass.MAJOR
CITATIONS = (
    ("cfr-23-1351", "(f), reverse polarity of external power; clause from memory"),
    ("practice", "its own contactor with a diode in the coil circuit"),
)
REMEDY = (
    "Fit a fuse or breaker and a contactor at the socket, its coil fed from the socket's own positive "
    "through a diode."
)


def subjects(facts: Facts):
    sockets = facts.design.of_kind(parts.ExternalPower)
    return [f"parts/{n}" for n in sockets] if sockets and facts.states.declared else []


def judge(subject: Subject, facts: Facts):
    socket = facts.paths.sockets[subject.pointer]
    wrong: list[str] = []
    path: tuple[str, ...] = ()
    state = ""
    numbers: tuple[tuple[str, str], ...] = ()
    if socket.unprotected:
        wrong.append("no circuit protection between it and the aircraft")
        path = socket.unprotected
    if socket.uncontrolled:
        wrong.append("no contactor of its own to disconnect it")
        path = path or socket.uncontrolled
    if socket.reversed_in:
        contactor, state = socket.reversed_in
        numbers = (("picks up with reverse polarity", bare(contactor)),)
        wrong.append(f"{bare(contactor)} picks up with reverse polarity")
    if socket.live_pins:
        state, source, way = socket.live_pins
        path = path or way
        numbers += (("pins energised by", " -> ".join(map(bare, way))),)
        wrong.append(f"its pins are energised from {bare(source)} with nothing plugged in")
    if wrong:
        yield Unmet(
            f"External power at {subject.name}: {'; '.join(wrong)}.", state=state, path=path, numbers=numbers
        )
