"""External power has circuit protection, and no effect with its polarity reversed.

Why: a ground cart connected with reverse polarity destroys every unit on the bus, and live pins on
the outside are a dead short for the next spanner.

How judged: with every switch closed, each path from a socket's positive to a bus or another source
must pass circuit protection, and one contactor must open all of them. No protection is required on
the cables that are the starter's too, with the socket behind its contactor. Nor is any beyond the
positive terminal of a battery at which such a cable ends. In every declared state that contactor
must not pick up with the socket's polarity reversed and every other source open. With nothing
plugged in no source of the aircraft may energise the pins. A port needs no contactor: each of its
paths passes circuit protection of 30 A or less, common practice (no published source), and less
than a starter draws. Reversed, it must reach no bus and no load in the states on the ground, unless
a battery on its path makes the protection open.

Not covered: overvoltage of the external source, which is not modelled.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, bare, parts

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "can burn"
CITATIONS = (
    ("cfr-23-1351", "(f), reverse polarity of external power"),
    ("practice", "its own contactor with a diode in the coil circuit"),
)
REMEDY = (
    "Fit a fuse or breaker and a contactor at the socket, its coil fed from the socket's own positive "
    "through a diode. At a charging port fit a fuse at the battery, and a diode where no battery is beside "
    "what it feeds."
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
    bare_port = socket.port and not socket.contactors
    if socket.uncontrolled and not bare_port:
        if socket.unrated:
            raise NotAssessable(f"`rating` of {socket.unrated}: too small to crank through, or not")
        wrong.append("no contactor of its own to disconnect it")
        path = path or socket.uncontrolled
    if socket.reversed_in:
        contactor, state = socket.reversed_in
        numbers = (("picks up with reverse polarity", bare(contactor)),)
        wrong.append(f"{bare(contactor)} picks up with reverse polarity")
    if bare_port and socket.reverse_reaches:
        reached, state = socket.reverse_reaches
        wrong.append(f"reverse polarity reaches {reached}")
        path = path or socket.uncontrolled
    if socket.live_pins and not bare_port:
        state, source, way = socket.live_pins
        path = path or way
        numbers += (("pins energised by", " -> ".join(map(bare, way))),)
        wrong.append(f"its pins are energised from {bare(source)} with nothing plugged in")
    if wrong:
        yield Unmet(
            f"External power at {subject.name}: {'; '.join(wrong)}.", state=state, path=path, numbers=numbers
        )
