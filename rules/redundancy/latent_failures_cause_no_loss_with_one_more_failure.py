"""No latent failure together with one further failure loses a critical function.

Why: two failures in one flight are improbable, but not if the first was there for months. A
disconnected reserve lead, a blown fuse and a shorted diode were all found after the loss.

How judged: a single failure is latent if, in the normal state and the state of each phase, it loses
no function, changes no monitor, darkens no instrument and lets the starter turn, and if it changes
nothing that a pre-flight check watches. With each, every further single failure is set in the
normal state, a short also as a device further upstream may clear it first. Shorted diodes and
welded relays count. Elements with the same second failures are reported once.

Not covered: crew action afterwards, triple failures, switches whose contacts do not follow the
handle, how much a reading changes (currents count by direction only), and an order of opening that
the first failure alters.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, few

HAZARD = HazardClass.MAJOR
CITATIONS = (
    ("ac-23-1309-1e", "latent failures (clause from memory)"),
    (
        "ntsb",
        "event 20180529X02415, reserve lead found disconnected; CEN23LA014, no test of the backup",
    ),
)
REMEDY = (
    "Let a monitor indicate the failure, or add a pre-flight check (under `watch`) in a state where it "
    "makes a difference."
)
FEW = 3


def subjects(facts: Facts):
    if not facts.states.critical_functions:
        return []
    if not facts.design.watch.monitors and not facts.design.watch.checks:
        raise NotAssessable("`watch` with its `monitors` and `checks`")
    return list(dict.fromkeys(failure.element for failure in facts.detection.latent))


def judge(subject: Subject, facts: Facts):
    loss = facts.detection.latent_losses.get(subject.pointer)
    if loss is not None:
        functions = " and ".join(function for function, _ in loss.losses)
        yield Unmet(
            f"Latent failure of {_name(subject.pointer)}: with one further failure {functions} is lost.",
            state=loss.state,
            failure="; ".join(loss.modes),
            numbers=tuple(
                (f"{function} lost with failure of", few(sorted(map(_name, seconds)), FEW))
                for function, seconds in loss.losses
            )
            + (
                (("equivalent latent failures", ", ".join(map(_name, loss.equivalent))),)
                if loss.equivalent
                else ()
            ),
        )


def _name(element: str) -> str:
    kind, _, name = element.partition("/")
    return f"bundle {name}" if kind == "bundles" else name
