"""What `explain` says of a word of the trade that is no word of the file: where to read of it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from reviewer.reading.meant import KINDS
from reviewer.reports.layout import headed, lines_of
from reviewer.rulebook.rule import Rule

_WIDTH = 100
#: pages that are listed
_MOST = 12
#: a word that more rules have says nothing
_COMMON = 20

#: words that mean the same; what is said of them; after `>` the pages to read. A blank line ends each.
_TEXT = """
amps amp ampere amperes
A current has its unit: `5 A`, `300 mA`. An estimate is `~5 A` or `4 to 6 A`.
> current peak rating figures

volts volt
A voltage has its unit: `14.2 V`, `300 mV`.
> nominal minimum maximum set-point voltage

ohms ohm milliohm
A resistance has its unit: `10 ohm`, `2.5 mohm`.
> resistance max-resistance

watts watt
A power has its unit: `50 W`.
> power

awg wire-size wire-gauge
A wire size has its unit: `18 AWG`, or its section: `1 mm2`.
> gauge wire wires

feet foot inch inches metre metres
A length has its unit: `0.6 m`, `24 in`, `2 ft`.
> length

unit quantity number figure
A figure has its unit in the text: `5 A`, `14.2 V`, `18 AWG`.
> format

cause
A cause is what one repair puts right, with every finding that it explains.
`reviewer review FILE` lists the causes; `--cause 1` has the evidence of the first.

trial
A trial makes one repair in the network and judges the rules again: what it clears has one cause.
`reviewer review FILE --cause 1` says what a repair clears. The ends of an estimate are tried as well.
> estimates

finding findings
A finding is a property that a rule asks for and the design lacks. `reviewer review FILE --all` lists all.
A finding that is accepted is written under `concessions`, with a reason.
> concessions

hazard hazard-class severity
The class of a finding (AC 23.1309-1E): catastrophic, hazardous, major, minor, no safety effect.
A function states the class of its loss. A finding has the class of its rule or of the function that is lost.
> loss functions hazards

master master-switch
A master is a part of kind `switch`, mostly in the coil circuit of the battery contactor.
> switch switches contactor masters-take-off-the-loads-of-their-bus batteries-can-be-disconnected

battery-bus hot-bus
A part of kind `bus` at the battery, live with the master off.
> bus batteries-can-be-disconnected every-wire-is-protected-at-each-energised-end

essential-bus endurance-bus e-bus emergency-bus
A part of kind `bus` with a second feed. `reviewer assemblies essential-bus` prints one that is drawn already.
> bus assemblies load-shedding relays-pick-up-without-the-bus-they-restore

main-bus avionics-bus
A part of kind `bus`, by a name of your own. Its wires say what feeds it; its name means nothing.
> bus parts

overvoltage over-voltage ov ovp
An alternator states the voltage at which its overvoltage protection trips, and what the trip opens or shorts.
Equipment states the highest voltage that it withstands.
> overvoltage-trip trip-acts-on maximum alternators-have-overvoltage-protection
> overvoltage-trips-stop-their-alternator equipment-withstands-overvoltage-until-the-trip

crowbar
Overvoltage protection that shorts the feed of the field or of a contactor coil, so that its breaker opens.
> trip-acts-on overvoltage-trip crowbars-trip-the-field-breaker-alone

p-lead p-leads plead mag
The p-lead is a terminal of a part of kind `magneto`. Its switch grounds it to stop the magneto.
> magneto silent magnetos-declared-silent-are-grounded hot-magnetos-show-in-a-check

failure failures single-failure single-point
Every single failure is simulated. `reviewer fail FILE PART` shows one, `reviewer effects FILE` lists all.
> no-single-supply-failure-stops-a-critical-function no-single-return-failure-stops-a-critical-function
> no-shared-device-failure-stops-a-critical-function

latent hidden
A latent failure changes no function, no reading and no pre-flight check.
> watch checks monitors latent-failures-cause-no-loss-with-one-more-failure

smoke fire
A state for smoke has `use: abnormal`, `engine: running`, and the buses that it de-energises under `dead`.
> states dead buses-declared-dead-are-de-energised smoke-drills-leave-every-engine-channel-on

redundancy redundant critical
A function states how many of its channels must work, and the class of its loss.
> functions any of loss

ground-power gpu ground-cart
External power is connected by a part of kind `external-power`.
> external-power external-power-is-protected-and-polarity-guarded

voltage-regulator avr
A separate regulator is a part of kind `regulator`. One inside its alternator is stated there.
> regulator alternator regulators-sense-bus-voltage-without-drop

sense-lead sense-wire
A sense lead is drawn as a wire. A monitor states what it senses, a regulator what it regulates.
> senses regulator-senses monitors-are-connected-to-what-they-sense

harness loom
Wires that run together name one `bundle`.
> bundle critical-functions-survive-a-severed-bundle

firewall bulkhead grommet
A wire names each bulkhead opening that it passes. Heat is stated of the zone.
> through zone zones heavy-cables-share-no-grommet-with-critical-wires

strap bond bonding braid
A strap is a wire between two grounds. A braid has a `resistance` in place of a gauge.
> wires max-resistance ground-leads-state-a-maximum-resistance structure-returns-have-low-resistance

lithium lifepo4 bms
A lithium battery states the voltages at which its management circuit disconnects it.
> chemistry low-voltage-disconnect high-voltage-disconnect batteries-stay-connected-while-cranking

ampacity derating
The current that a wire may carry continuously depends on its gauge, insulation, bundle and zone.
> insulation bundle zone wires-are-within-their-current-rating

voltage-drop
`reviewer wires FILE` lists the voltage drop of each wire.
> gauge length continuous-voltage-drop-is-within-limits intermittent-voltage-drop-is-within-limits
> starter-cable-voltage-drop-is-within-limits

selectivity coordination
Of two devices in series the one nearer to the short is to open first.
> rating circuit-protection-is-selective

backfeed backfeeding reverse-current
A diode or a change-over switch keeps a source from feeding another.
> diode no-source-backfeeds-another generators-have-a-reverse-current-cut-out

sneak sneak-path sneak-circuit
Current through a load, lamp or coil into a circuit that is off.
> circuits-switched-off-have-no-sneak-path

inrush surge
The `peak` of a load is what it draws for seconds. A contact may state what it makes.
> peak make-rating contacts-are-rated-for-their-loads

flyback tvs suppressor
A coil states its suppression, or a diode is drawn across it.
> suppression diode coils-are-suppressed

squat-switch limit-switch pressure-switch float-switch stall-vane
A part of kind `switch` that no hand moves states what moves it.
> operated-by follows switch

warning alert caution
A warning is a monitor with an alarm, or a lamp that shows a monitor.
> monitors alarm-below alarm-above displayed-on annunciator

checklist emergency-checklist
The moves of the crew are under `actions`. `reviewer checklists FILE` writes a card for each indication.
> actions load-shedding crew-actions-have-their-declared-effect

load-analysis budget
`reviewer budget FILE` writes the electrical load analysis, of the currents by phase.
> phases current duration

ground-loop
Two paths join the return of a signal to ground.
> signal-returns-form-no-ground-loop shields-are-grounded-at-one-point

headset jack microphone mic
A headset jack is a part of kind `sensor`, wired to an input of the audio panel.
> sensor inputs signal-returns-form-no-ground-loop

thermocouple sender probe
A sender is a part of kind `sensor`, wired to an input of the instrument that reads it.
> sensor inputs span sensor-ground-shift-is-small

lug crimp ring-terminal stack
A wire ends at a terminal. Ring terminals are counted on each stud and terminal.
> stud ring-terminals-per-stud-are-within-the-limit stud-nuts-are-locked

twisted twisted-pair coax shielded
Two wires that are twisted name one `pair`. A wire states the terminals at the ends of its `shield`.
> pair shield pairs-run-together shields-are-grounded-at-one-point

filter ferrite emi
A load states its noise, and whether its supply is filtered.
> noise filtered switching-loads-have-emi-filters

vfr
What the aircraft is used for, under `aircraft`. A function may state the class of its loss for each use.
> uses loss

yaml json
A design file is YAML or JSON. `reviewer schema` prints its JSON Schema.
> format

change-over changeover transfer-switch
A double-throw switch or a relay. `reviewer assemblies changeover` prints one that is drawn already.
> positions transfer changeover-switches-feed-their-load-in-every-position
> source-changeover-is-by-double-throw-switch

tie cross-feed bus-tie
A switch or contactor between two buses. When closed it parallels their sources.
> contactor no-source-backfeeds-another
"""


def _entries() -> Iterator[tuple[str, tuple[str, list[str]]]]:
    for block in _TEXT.strip().split("\n\n"):
        words, *lines = block.splitlines()
        said = " ".join(line for line in lines if line[0] != ">")
        see = " ".join(line[1:] for line in lines if line[0] == ">").split()
        for word in words.split():
            yield word, (said, see)


#: word -> what is said of it, and the topics and rules to read
WORDS: Mapping[str, tuple[str, list[str]]] = dict(_entries())


def word_page(word: str, topics: Sequence[str], rules: Sequence[Rule]) -> str:
    """The page of a word that is none of ``topics`` and no rule: what it is called in a file, and which
    pages to read; "" where nothing is known of it."""
    word = word.strip().lower().replace("_", "-").replace(" ", "-")
    if kinds := KINDS.get(word):
        written = " or ".join(f"`kind: {kind}`" for kind in kinds)
        return _page(word, f"In a design file: {written}.", [kind.partition(",")[0] for kind in kinds])
    if known := WORDS.get(word):
        return _page(word, *known)
    told = [rule.name for rule in rules if _speaks_of(word, rule)]
    found = [*_named(word, topics), *told] if len(told) <= _COMMON else []
    return _page(word, "These pages have the word in their name or title.", found[:_MOST]) if found else ""


def _named(word: str, topics: Sequence[str]) -> list[str]:
    """The topics of which a word, or its plural or singular, is a whole part, the shortest first."""
    forms = {word, f"{word}s", word.removesuffix("s")} - {""}
    found = (topic for topic in topics if forms.intersection((topic, *topic.split("-"))))
    return sorted(found, key=lambda topic: (len(topic), topic))


def _speaks_of(word: str, rule: Rule) -> bool:
    said = {*rule.name.split("-"), *rule.title.lower().rstrip(".").replace(",", "").split()}
    return not said.isdisjoint((word, f"{word}s"))


def _page(word: str, said: str, see: Sequence[str]) -> str:
    lines = [*headed(word, _WIDTH), "", *lines_of(said, _WIDTH)]
    if see:
        lines += ["", "Read more:", "", *(f"    reviewer explain {topic}" for topic in see)]
    return "\n".join(lines) + "\n"
