"""Each monitor is connected to the point that it is declared to sense.

Why: two sense leads crossed at the batteries, or a lead on the wrong stud, show one battery twice
and the other never. The reading that should show a dead reserve is that of the main battery.

How judged: from what each monitor of an instrument senses, a lead must go to an input of that
instrument. It may have wires, connectors, splices, studs, a switch in one position, and circuit
protection of sense leads alone. Any terminal of a bus will do; the two sides of a shunt are
different points. The instrument's only supply is accepted, but not where the sensed terminal has no
wire and an unread input is at a source. Where no lead goes there, an input that reads a voltage and
is at a point that none of its monitors senses is a finding. So are more inputs at a point than
monitors of it, and an input that `reads: voltage` at a ground. So are two monitors that sense
inputs of the instrument itself, with both leads at one point. Else an input of a unit that shows no
monitor, and so may send the reading on, is accepted, and one of several supplies that no switch
changes over. Else no lead is drawn, which is missing data in a concept. A lead by a selector must
be joined in the state of each check that watches the monitor. A lamp must be joined to what it is
declared to show, by contacts, diodes, protection, a unit or sensor, or a relay with its coil there.

Not covered: which of its inputs an instrument shows as which reading, as with crossed shunt leads;
data buses; an input that no monitor uses while another unit sends the reading.
"""

from reviewer.rulebook import Facts, HazardClass, NotAssessable, Subject, Unmet, and_list, parts

HAZARD = HazardClass.MAJOR
CONSEQUENCE = "not there when wanted"
CITATIONS = (
    ("practice", "a source is sensed at its terminal, by a lead of its own"),
    ("ntsb", "event 20180529X02415, a reserve with its lead disconnected"),
)
REMEDY = "Move the sense lead to the declared point, or declare the point at which it is."


def subjects(facts: Facts):
    shown_by = facts.design.of_kind((parts.Instrument, parts.Load))
    monitors = facts.design.watch.monitors.items()
    return [f"watch/monitors/{name}" for name, m in monitors if m.displayed_on in shown_by]


def judge(subject: Subject, facts: Facts):
    name = subject.name
    monitor = facts.design.watch.monitors[name]
    lead = facts.detection.sense_lead(name)
    declared = (("declared", f"{monitor.senses} on {monitor.displayed_on}"),)
    if lead.stray is not None:
        yield Unmet(
            f"No lead connects {monitor.displayed_on} to {monitor.senses}, which {name} is declared to "
            f"show; {and_list(lead.stray.inputs)} "
            f"{'is' if len(lead.stray.inputs) == 1 else 'are'} at {lead.stray.at}.",
            field="senses",
            path=lead.stray.path,
            numbers=(*declared, ("connected", f"{', '.join(lead.stray.inputs)} at {lead.stray.at}")),
        )
    elif alike := facts.detection.read_alike(name):
        others, there = alike
        yield Unmet(
            f"{and_list((name, *others))} read the same: {and_list(there.inputs)} are at {there.at}.",
            field="senses",
            path=there.path,
            numbers=(("connected", f"{', '.join(there.inputs)} at {there.at}"),),
        )
    elif check := facts.detection.deselected_in(name):
        state = facts.design.watch.checks[check].state
        yield Unmet(
            f"Check {check} watches {name} in {state}, in which no lead connects {monitor.displayed_on} to "
            f"{monitor.senses}: the selector is at another position, or its leads are crossed.",
            state=state,
            field="senses",
            numbers=declared,
        )
    elif not lead.connected and facts.design.aircraft.stage == "concept":
        raise NotAssessable(
            f"the wires from {monitor.senses} to an input or supply of {monitor.displayed_on}"
        )
    elif not lead.connected:
        said = f"No lead is drawn from {monitor.senses} to {monitor.displayed_on}"
        remedy = "Draw the sense lead with its circuit protection, or take the monitor out."
        yield Unmet(
            f"{said}, which {name} is declared to show.", field="senses", numbers=declared, remedy=remedy
        )
