"""No failure that stays hidden takes a critical function together with one more.

Why: a pair of failures is improbable within one flight; it is not when the first was there for months. A reserve lead that was off, a spare fuse that was
blown and a diode that had shorted were all found after the loss.

How judged: a single failure is hidden when it takes no function, changes no monitor's reading, darkens no instrument and does not stop the starter in
the dispatch state and in the state of any phase, and changes nothing that a check before flight watches. With each of them every other single failure is
tried in the dispatch state. Diodes shorted through and relays that stick are among the hidden ones. Elements whose hidden failure is completed by the same
second failures are told of once.

Not covered: what the crew could do afterwards, triples, switches whose contacts do not follow the handle, and how much a reading changes: amperes count
by their direction only.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet

HAZARD = HazardClass.MAJOR
CITATIONS = (
    ("ac-23-1309-1e", "latent failures (clause from memory)"),
    (
        "ntsb",
        "event 20180529X02415, the lead of the reserve found off; CEN23LA014, nothing tested the backup",
    ),
)
REMEDY = "Let a monitor show the failure, or add a check before flight (under `watch`) in a state where it makes a difference."
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
            f"{_name(subject.pointer)} can fail unseen; one more failure then takes {functions}, though neither alone does.",
            state=loss.state,
            failure="; ".join(loss.modes),
            numbers=tuple(
                (f"one more that takes {function}", _few(seconds)) for function, seconds in loss.losses
            )
            + ((("the same goes for", ", ".join(map(_name, loss.alike))),) if loss.alike else ()),
        )


def _few(elements: tuple[str, ...]) -> str:
    names = sorted(map(_name, elements))
    return ", ".join(names[:FEW]) + (f" and {len(names) - FEW} more" if len(names) > FEW else "")


def _name(element: str) -> str:
    kind, _, name = element.partition("/")
    return f"bundle {name}" if kind == "bundles" else name
