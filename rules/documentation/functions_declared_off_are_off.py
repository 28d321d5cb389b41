"""A function that a state is declared without does not work in that state.

Why: a state that lists a function under `without` says that it is switched off there. Where the
drawing powers it all the same, either the switch positions or the list is wrong, and a reader
believes the list.

How judged: in each declared state, with no failure, a function under `without` must not have as
many powered channels as it needs. What only a battery inside a unit runs is off, as the unit is
turned off by hand. States in which a bus declared `dead` is live are not judged: another rule
reports that, and what works there follows from it. Major where the loss of the function is
hazardous or catastrophic.

Not covered: channels that are powered while others that the function needs are not.
"""

from reviewer.rulebook import Facts, HazardClass, Subject, Unmet, bare

HAZARD = HazardClass.MINOR
CONSEQUENCE = "to be corrected"
CITATIONS = (("practice", "each line of an emergency checklist states its effect on the system"),)
REMEDY = "Set the switches of the state so that its channels are off, or remove the function from `without`."


def subjects(facts: Facts):
    listed = dict.fromkeys(f for state in facts.states.declared.values() for f in state.without)
    return [f"functions/{function}" for function in listed]


def judge(subject: Subject, facts: Facts):
    function, works = subject.name, []
    for answer in facts.states.answers():
        state = answer.state
        told = any(facts.paths.live_path(state.name, bus) for bus in state.dead)
        unfed = [n for n in facts.states.loads_of(function) if not answer.healthy.powered[f"parts/{n}"]]
        fed = answer.alive[function] and not facts.states.lost_with(function, unfed)
        if function in state.without and fed and not told:
            works.append(answer)
    if works:
        first, *others = works
        also = [a.state.name for a in others]
        loads = [
            e for e in map("parts/{}".format, facts.states.units_of(function)) if first.healthy.powered[e]
        ]
        rests_on = map("parts/{}".format, facts.design.function_tree.others[function])
        powered = loads + [e for e in rests_on if first.healthy.powered[e]]
        critical = function in facts.states.critical_functions
        alone = _only_machine(powered, first, facts)
        off = f"Switch {bare(alone)} off in {first.state.name}" if alone else ""
        yield Unmet(
            f"{function} works in {first.state.name}, where it is listed under `without`: "
            f"{', '.join(map(bare, powered))} "
            f"{'powered' if any(e in facts.network.users for e in powered) else 'working'}.",
            state=first.state.name,
            changes=tuple(f"{e}/control" for e in ([alone] if alone else powered) if _is_machine(e, facts)),
            remedy=f"{off}, or remove the function from `without`." if alone else "",
            path=facts.states.path_to(first.state.name, loads[0]) if loads else (),
            elements=facts.states.path_back(first.state.name, loads[0]) if loads else (),
            numbers=(
                ("loads powered", ", ".join(map(bare, powered))),
                *((("also in", ", ".join(also)),) if also else ()),
            ),
            hazard=HazardClass.MAJOR if critical else None,
        )


def _is_machine(element: str, facts: Facts) -> bool:
    return element in facts.sources.at_work


def _only_machine(powered: list[str], answer, facts: Facts) -> str:
    """The alternator (a pointer) without which nothing of some loads and alternators works in a state."""
    users, fed = facts.network.users, answer.healthy.fed
    ends = [node for element in powered if element in users for node in users[element].plus]
    sources = {source for source, nodes in fed.items() if any(nodes[node] for node in ends)}
    sources.update(element for element in powered if element not in users)
    return next((source for source in sources if len(sources) == 1 and _is_machine(source, facts)), "")
