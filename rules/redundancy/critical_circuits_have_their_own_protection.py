"""The circuit protection of a critical circuit protects no other circuit.

Why: a fault in a lamp or a radio then opens the breaker of an ignition or a fuel pump.

How judged: for each load that a function of hazardous or catastrophic loss depends on, every
breaker, fuse and current limiter whose opening loses it in a normal flight state. Among them are
its bus feeder and the supply of its relay coil. Not judged where the function continues without
electricity, as by an engine-driven pump. In every declared state none of them may be the nearest to
another load. Another load may have its own device downstream, if the ratings ensure that this one
opens first. Upstream is rated 1.5 times as high and of the same or a slower kind (fuse, breaker,
current limiter), a fuse above a breaker twice as high.

Not covered: faults in other coils and fields, and loads that are channels of that function or of
its channels. Channels that back each other up are judged by
redundant-channels-share-no-circuit-protection; where all are needed, losing one is as severe as
losing all. A feeder that may open first and loses a whole function is judged by
circuit-protection-is-selective.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, and_list, bare, rated

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "not there when wanted"
CITATIONS = (
    ("cfr-23-1357", "(b), the protective device of an essential circuit protects no other"),
    ("cfr-29-1357", "(e), each position light of one system need not have its own"),
    ("practice", "as slow and rated 1.5 times as high, a fuse above a breaker twice"),
)
REMEDY = "Give the critical load its own breaker or fuse, fed from the bus."
LARGER = "Fit a larger upstream device and wire so that the nearest opens first, or feed both from the bus."


def subjects(facts: Facts):
    return [f"parts/{n}" for n in facts.protection.needed_protectors]


def judge(subject: Subject, facts: Facts):
    shared = facts.protection.shared_circuits.get(subject.name)
    if shared:
        yield Unmet(
            f"{rated(shared.protector, facts.design.parts[shared.protector])} protects {shared.load}, needed "
            f"for {shared.function}, and also {and_list(shared.others)}: a fault there opens it.",
            state=shared.state,
            failure=f"a fault in {' or '.join(shared.others)}",
            path=facts.states.path_to(shared.state, f"parts/{shared.load}", f"parts/{shared.protector}"),
        )
    doubtful = list(_doubtful(subject, facts))
    late = [entry for entry in doubtful if not entry[0].unrated]
    if late:
        first, need, others = late[0]
        devices = list(dict.fromkeys(bare(one.protector) for one, _, _ in late))
        yield Unmet(
            f"{rated(subject.name, subject.part(facts.design))} feeds {need.load}, needed for "
            f"{need.function}, and may open before "
            f"{and_list(rated(d, facts.design.parts[d]) for d in devices)} with a fault in {others[0]}.",
            field="rating",
            state=first.state,
            failure=f"{first.failure.words(facts.network)}: a fault in {others[0]}",
            path=facts.states.path_to(first.state, f"parts/{need.load}", subject.pointer),
            remedy=LARGER,
            extent=", ".join(devices),
        )
    elif doubtful:
        raise NotAssessable(f"`rating` of {', '.join(dict.fromkeys(map(bare, doubtful[0][0].unrated)))}")


def _doubtful(subject: Subject, facts: Facts):
    """(the failure of selectivity, the critical load that it loses, the loads behind the late one)"""
    for one in facts.failures.selectivity_failures:
        # what takes a whole function is reported by the rule of selectivity
        if subject.pointer not in one.first or one.lost:
            continue
        for need in facts.protection.needed_protectors[subject.name]:
            others = facts.protection.others_behind(bare(one.protector), need)
            if need.load in one.loads and others:
                yield one, need, others
                break
