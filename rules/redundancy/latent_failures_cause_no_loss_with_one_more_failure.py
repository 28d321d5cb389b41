"""No latent failure together with one further failure loses a critical function.

Why: two failures in one flight are improbable, but not if the first was there for months. A
disconnected reserve lead, a blown fuse and a shorted diode were all found after the loss.

How judged: a single failure is latent if nothing shows it in the normal state and the state of
each phase. It loses no function, darkens no instrument, lets the starter turn, takes no monitor
out of its limits, and changes nothing that a pre-flight check watches. Limits are the alarms, else
the range that is read in normal flight, with tolerances and meter error. Where figures are
missing, the level counts. With each, every further single failure is simulated in the normal
state, a short also as cleared first by a device further upstream. A function is lost where its
loads are dark, or are left less than their minimum voltage, a short then cleared by the nearest
device. Where that failure alone loses a function until declared actions restore it, they must do
so with the latent failure too. Equivalent elements are reported once.

Not covered: crew action after two failures neither of which loses the function alone, triple
failures, and switches whose contacts do not follow the handle. Nor are voltages after declared
actions with two failures, and readings while the engine cranks that no check watches.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, and_list, checks, few, remedy

HAZARD, CONSEQUENCE = HazardClass.MAJOR, "not there when wanted"
CITATIONS = (
    ("ac-23-1309-1e", "latent failures, with one further failure"),
    ("ntsb", "event 20180529X02415, reserve lead found disconnected"),
    ("ntsb", "CEN23LA014, no procedure tested the backup"),
)
REMEDY = (
    "Provide a monitor that indicates the failure, or a pre-flight check (under `watch`) in a state in "
    "which it shows."
)


def subjects(facts: Facts):
    if not facts.states.critical_functions:
        return []
    if not facts.design.watch.monitors and not facts.design.watch.checks:
        raise NotAssessable("`watch` with its `monitors` and `checks`")
    return list(dict.fromkeys(failure.element for failure in facts.detection.unused))


def judge(subject: Subject, facts: Facts):
    loss = facts.detection.latent_loss(subject.pointer)
    if loss is not None:
        in_line = () if "shorted" in loss.modes else facts.detection.in_line(subject.pointer)
        numbers = [(f"{f} lost with failure of", few(list(map(_name, e)))) for f, e in loss.losses]
        lost = ((r.function, map(_name, r.elements)) for r in loss.recoveries)
        numbers += [(f"{f} not restored after failure of", few(list(e))) for f, e in lost]
        same = dict.fromkeys((subject.pointer, *loss.equivalent, *loss.partners, *in_line))
        new = facts.detection.checks_to_add(loss)
        alike = {"equivalent latent failures": loss.equivalent}
        alike["the further failure may be the latent one"] = loss.partners
        numbers += [(words, ", ".join(map(_name, own))) for words, own in alike.items() if own]
        yield Unmet(
            f"Latent failure of {_name(subject.pointer)}: {_effect(loss)}.",
            state=loss.state,
            failure="; ".join(loss.modes),
            numbers=tuple(numbers),
            elements=tuple(e for _, further in loss.losses for e in further),
            functions=tuple(dict(loss.losses) | {r.function: () for r in loss.recoveries}),
            # what shows that one of a run is open shows it of all, but not that a diode conducts back
            changes=(*checks(same), *remedy.declared(same, facts), *remedy.added(new)),
            remedy=remedy.check_words(new, loss.state),
        )


def _effect(loss) -> str:
    if loss.losses:
        *others, last = (f for f, _ in loss.losses)
        lost = f"{', '.join(others)} and {last} are lost" if others else f"{last} is lost"
        return f"with one further failure {lost}"
    restored = and_list(r.function for r in loss.recoveries)
    moves = and_list(f"{name} to {position}" for name, position in loss.recoveries[0].moves)
    return f"then setting {moves} no longer restores {restored}"


def _name(element: str) -> str:
    kind, _, name = element.partition("/")
    return f"bundle {name}" if kind == "bundles" else name
