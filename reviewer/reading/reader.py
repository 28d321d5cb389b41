"""The door: a file's content -> a Design, or every mistake in it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType
from typing import Any

from reviewer.model.channels import LossWord, MechanicalChannel, MechanicalName, UseWord
from reviewer.model.design import (
    Action,
    Aircraft,
    Check,
    CommonWire,
    Concession,
    Design,
    Exclusion,
    Function,
    Monitor,
    Operation,
    Phase,
    State,
    Watch,
    without_position,
)
from reviewer.model.fields import Piece
from reviewer.model.operation import NORMAL
from reviewer.model.parts import PART_KINDS, Wire
from reviewer.model.quantities import Written
from reviewer.model.spreadsheet_tables import TableRead
from reviewer.reading.assemblies.install import OWN_KEYS, Installed
from reviewer.reading.assemblies.origin import as_called, told_once
from reviewer.reading.beside import FilesBeside
from reviewer.reading.collector import SECTIONS, Collector
from reviewer.reading.current_of_power import with_current_of_power
from reviewer.reading.design_file import DesignFile, read_file
from reviewer.reading.known_names import terminals_of
from reviewer.reading.made_states import states_normal, with_made_states, with_normal, with_rest
from reviewer.reading.meant import KINDS
from reviewer.reading.nominal_of_feed import with_nominal_of_feed
from reviewer.reading.operation_references import positions_of
from reviewer.reading.problem import (
    Problem,
    Unreadable,
    choices,
    did_you_mean,
    flow,
    instead,
    nearest,
    shown,
)
from reviewer.reading.provisions import provisions_of, there_now, without_provisions
from reviewer.reading.references import check_references
from reviewer.reading.sizes import oversized
from reviewer.reading.spreadsheets.same_mistakes import merged
from reviewer.reading.unread_names import UnreadNames
from reviewer.reading.yaml_events import Places, Refused, load, pointer

#: what sets switches -> the key under which it does
_MOVES: dict[type[Piece], str] = {State: "switches", Action: "move"}
_TOP = (
    "format",
    "aircraft",
    *OWN_KEYS,
    "circuits",
    "tables",
    "wire-numbers",
    "parts",
    "wires",
    "functions",
    "operation",
    "watch",
    "concessions",
)


def read_design(path: Path) -> Design:
    """Read a design file. Raises :class:`Unreadable` with every mistake in it."""
    return design_of(read_file(path))


def design_of(file: DesignFile) -> Design:
    """The design of a file that was read.

    Raises :class:`Unreadable` with every mistake in it and the lines of the file.
    """
    try:
        return read_text(file.content, str(file.path), file.beside)
    except Unreadable as error:
        raise Unreadable(error.file, error.problems, file.lines) from None


def read_text(content: str | bytes, file: str, beside: FilesBeside | None = None) -> Design:
    """Read a design from text.

    ``file`` is the name that problems carry; ``beside`` reads what stands beside it. Raises
    :class:`Unreadable`.
    """
    try:
        return _read(content, file, beside or FilesBeside(None))
    except Unreadable as error:
        raise Unreadable(error.file, merged(dict.fromkeys(told_once(error.problems)))) from None


def _read(content: str | bytes, file: str, beside: FilesBeside) -> Design:
    data, values, keys, problems = load(content, file)
    if not isinstance(data, dict):
        raise Unreadable(
            file,
            [
                *problems,
                Problem(
                    1, 1, "", f"expected a design, a group of keys ({', '.join(_TOP)}), found {shown(data)}"
                ),
            ],
        )
    too_many = oversized(data, keys)
    unread = UnreadNames()
    assembled = not too_many and any(key in data for key in OWN_KEYS)
    if assembled:
        installed = Installed(data, values, keys, problems, beside)
        if installed.full:
            raise Unreadable(file, problems)
        data, unread = installed.data_with_made(), installed.unread
        too_many = oversized(data, keys)
    read: tuple[TableRead, ...] = ()
    failed = False
    if data.keys() & {"circuits", "tables"} and not too_many:
        from reviewer.reading.circuits.lowering import lowered  # what takes long to load is
        from reviewer.reading.spreadsheets.table_reader import TableReader  # loaded for such a file only

        tables = TableReader(data, values, keys, problems, beside)
        data = lowered(data, values, keys, problems, unread, tables.lines)
        too_many = oversized(data, keys)
        read, failed = tuple(tables.found), tables.failed
    if too_many or failed:
        raise Unreadable(file, [*problems, *too_many])
    collector = Collector(values, keys, problems, unread)
    places = {**values, **{k: v for k, v in keys.items() if k.count("/") <= 1}}
    design = _Reader(collector, data).design(as_called(places) if assembled else places, read)
    if collector.problems:
        raise Unreadable(file, collector.problems)
    return replace(design, defaults_of_assemblies=installed.defaults) if assembled else design


class _Reader:
    def __init__(self, collector: Collector, data: dict[str, Any]):
        self.collector, self.data = collector, data
        self.parts: dict[str, Any] = {}

    def design(self, places: Places, tables: tuple[TableRead, ...]) -> Design:
        """The design, whole where the collector has no problem in the end.

        ``places`` become its places, ``tables`` what was read of its tables.
        """
        collector, data = self.collector, self.data
        self._top_keys()
        aircraft: Any = None
        if "aircraft" in data:
            aircraft = collector.piece(Aircraft, data["aircraft"], "aircraft", "aircraft")
        else:
            collector.say("", f"`aircraft` is missing; write for example `{SECTIONS['aircraft']}`")
        parts = self.parts = self._parts()
        wires = self._named("wires", Wire, "wire", required=True)
        functions = self._named("functions", Function, "function")
        operation = self._operation()
        flown = operation is not None and (
            "normal" in operation.model_fields_set or NORMAL in operation.states
        )
        if operation is not None and operation.states and not flown:
            operation = self._with_normal(operation, parts)
        watch = self._watch()
        concessions = self._concessions()
        if aircraft is not None and aircraft.estimates is not None:
            self._estimates(aircraft.estimates)
        watch = _displayed(watch, parts)
        if aircraft is not None and aircraft.wire is not None:
            wires = _completed(wires, aircraft.wire)
        if aircraft is not None:
            functions = {n: _for_the_uses(f, aircraft.uses) for n, f in functions.items()}
        check_references(collector, data, parts, wires, functions, operation, watch)
        provisions = provisions_of(parts, wires)
        if (provisions.parts or provisions.wires) and not collector.problems:
            data = without_provisions(data, provisions)
            parts, wires = there_now(parts, wires, provisions)
            later = {*provisions.parts, *provisions.wires}
            check_references(collector, data, parts, wires, functions, operation, watch, later)
        for at, channel in _mechanical(functions):
            if collector.sound(at, "mechanical"):
                self._name(channel, at, "a mechanical channel", dots=False)
            engine = channel.driven_by or None
            parts.setdefault(str(channel), MechanicalChannel.model_validate({"driven-by": engine}))
            if at in places:
                places.setdefault(pointer("parts", channel), places[at])
        if operation is not None and not collector.problems:
            operation = with_rest(operation, parts)
        design = Design(
            aircraft,
            MappingProxyType(parts),
            MappingProxyType(wires),
            MappingProxyType(functions),
            operation,
            watch,
            concessions,
            MappingProxyType(places),
            tables,
            provisions=provisions,
        )
        if collector.problems:
            return design
        return with_made_states(with_current_of_power(with_nominal_of_feed(design)), collector, flown)

    def _estimates(self, share: float) -> None:
        """How far estimates may be off: less than the whole of them, and no estimate itself."""
        if share >= 1 or (isinstance(share, Written) and share.estimate):
            said = (
                "says how far an estimate may be off either way: one figure below 100 %, for example `20 %`"
            )
            self.collector.refer("aircraft/estimates", f"aircraft: `estimates` {said}")

    def _top_keys(self) -> None:
        for key in self.data:
            if key not in _TOP:
                said = f"a design has no key `{key}`{instead(key, _TOP)}"
                self.collector.say(pointer("", key), said, key=True)
        if "format" not in self.data:
            self.collector.say("", "`format: 1` is missing")
            return
        given = self.data["format"]
        if given != 1 or isinstance(given, bool):
            wanted = "this reviewer reads format 1: write `format: 1`"
            self.collector.say("format", f"`format` is {shown(given)}; {wanted}")

    def _parts(self) -> dict[str, Any]:
        group = self._group("parts", "parts by name", required=True)
        found = {}
        for name, value in group.items():
            at = pointer("parts", name)
            self._name(name, at, "a part", dots=False)
            kind = value.get("kind") if isinstance(value, dict) else None
            if isinstance(value, str) and value in PART_KINDS:
                said = f"expected part {name}, a group of keys, found `{value}`"
                self.collector.say(at, f"{said}; write `{name}: {{kind: {value}}}`")
            elif not isinstance(value, dict):
                self.collector.piece(Wire, value, at, f"part {name}")
            elif not isinstance(kind, str) or kind not in PART_KINDS:
                self._no_kind(name, at, kind, value)
            elif (part := self.collector.piece(PART_KINDS[kind], value, at, f"{kind} {name}")) is not None:
                found[name] = part
                for terminal in terminals_of(self.collector, name, part) or ():
                    self._name(terminal, at, f"a terminal of {name}", dots=False)
        return found

    def _no_kind(self, name: str, at: str, kind: Any, value: dict[str, Any]) -> None:
        known = ", ".join(PART_KINDS)
        joined = next((key for key in value if key.startswith("kind:")), None)
        if kind is None and joined is not None:
            said = f"part {name}: a space follows the colon of a key"
            meant = f"kind: {joined.removeprefix('kind:').strip()}"
            self.collector.say(pointer(at, joined), f"{said}; write `{meant}`", key=True)
        elif kind is None and (other := next((key for key in value if key.lower() == "kind"), None)):
            said = f"part {name} has no key `{other}`; write `kind`, in small letters"
            self.collector.say(pointer(at, other), said, key=True)
        elif kind is None:
            self.collector.say(at, f"part {name} needs `kind`; it may be {known}")
        elif kind is not Refused:
            word = kind.lower() if isinstance(kind, str) else ""
            near = did_you_mean(KINDS[word]) if word in KINDS else nearest(kind, PART_KINDS)
            self.collector.say(
                f"{at}/kind",
                f"part {name}: {shown(kind)} is not a kind of part{near or f'; it may be {known}'}",
            )

    def _group(self, key: str, what: str, required: bool = False) -> dict[str, Any]:
        if key not in self.data:
            if required:
                self.collector.say("", f"`{key}` is missing: {what}")
            return {}
        return self.collector.group(self.data[key], key, what)

    def _name(self, name: str, at: str, what: str, dots: bool = True) -> None:
        wrong = ""
        if not name or len(name) > 200:
            wrong = "must have 1 to 200 characters"
        elif name != name.strip():
            wrong = "must not begin or end with a space"
        elif not name.isprintable() and any(
            ord(c) < 32 or 0x7F <= ord(c) < 0xA0 or 0xD800 <= ord(c) < 0xE000 for c in name
        ):
            wrong = "must not contain control characters"
        elif not dots and "." in name:
            wrong = "must not contain a dot; the dot separates part and terminal"
        if wrong:
            self.collector.say(at, f"the name {shown(name)} of {what} {wrong}", key=True)

    def _named(self, key: str, model: Any, what: str, required: bool = False) -> dict[str, Any]:
        found = {}
        for name, value in self._group(key, f"{what}s by name", required).items():
            at = pointer(key, name)
            self._name(name, at, f"a {what}")
            if (piece := self.collector.piece(model, value, at, f"{what} {name}")) is not None:
                found[name] = piece
        return found

    def _inner(self, value: dict[str, Any], at: str, key: str, model: Any, what: str) -> dict[str, Any]:
        found = {}
        if key in value:
            for name, entry in self.collector.group(value[key], f"{at}/{key}", f"{what}s by name").items():
                here = pointer(f"{at}/{key}", name)
                self._name(name, here, f"a {what}")
                if isinstance(entry, dict) and model in _MOVES:
                    entry = self._moves(entry, here, f"{what} {name}", model)
                if (piece := self.collector.piece(model, entry, here, f"{what} {name}")) is not None:
                    found[name] = piece
        return found

    def _moves(self, entry: dict[str, Any], at: str, what: str, model: Any) -> dict[str, Any]:
        """A state or action, without the switches in it that have none of their positions or stand beside
        ``move``, of which that was said."""
        key, moved = _MOVES[model], model is Action
        if moved and key not in entry and (beside := [n for n in entry if n in self.parts]):
            said = f"{what}: what is moved stands under `{key}`"
            meant = flow({key: {n: entry[n] for n in beside}})[1:-1]
            self.collector.say(pointer(at, beside[0]), f"{said}; write `{meant}`", key=True)
            return {**{k: v for k, v in entry.items() if k not in beside}, key: Refused}
        moves = entry.get(key)
        if not isinstance(moves, dict):
            return entry
        lacking = {
            n: positions
            for n, position in moves.items()
            if (position is None or isinstance(position, bool))
            and n in self.parts
            and (positions := positions_of(self.parts[n], moved))
        }
        for name, positions in lacking.items():
            given = f" `{flow(moves[name])}`" if isinstance(moves[name], bool) else ""
            likely = positions[0 if moves[name] is False else -1]
            said = f"{what}: `{name}` has no position{given}; it may be {choices(positions)}"
            here = pointer(f"{at}/{key}", name)
            self.collector.say(here, f"{said}: write `{name}: {flow(likely)}`", key=True)
        return {**entry, key: {**moves, **dict.fromkeys(lacking, Refused)}} if lacking else entry

    def _operation(self) -> Operation | None:
        if "operation" not in self.data:
            return None
        value = self.collector.group(self.data["operation"], "operation", "how the system is operated")
        states = self._inner(value, "operation", "states", State, "state")
        phases = self._inner(value, "operation", "phases", Phase, "phase")
        actions = self._inner(value, "operation", "actions", Action, "action")
        excluded = []
        raw = value.get("excluded", [])
        if not isinstance(raw, list):
            self.collector.say(
                "operation/excluded", f"operation: `excluded` is {shown(raw)}; expected a list"
            )
            raw = []
        for i, entry in enumerate(raw):
            excluded.append(
                self.collector.piece(Exclusion, entry, f"operation/excluded/{i}", "excluded combination")
            )
        if not value:
            return None
        # the frame is judged without its pieces, which were judged above with words of their own
        frame = {k: v for k, v in value.items() if k not in ("states", "phases", "actions", "excluded")}
        if "states" in value:
            frame["states"] = {}
        base = self.collector.piece(Operation, frame, "operation", "operation")
        return base.model_copy(
            update={
                "states": MappingProxyType(states),
                "phases": MappingProxyType(phases),
                "actions": MappingProxyType(actions),
                "excluded": tuple(e for e in excluded if e),
            }
        )

    def _with_normal(self, operation: Operation, parts: Mapping[str, Any]) -> Operation:
        """An operation that names no state of normal flight, with that of the switches' normal positions."""
        lacking = without_position(parts)
        if states_normal(parts) and not lacking:
            return with_normal(parts, operation)
        said = "operation: `normal` is missing; write for example `normal: cruise`"
        if states_normal(parts):
            said += f", or at {', '.join(lacking)} the position in normal flight, as `normal: up`"
        self.collector.say("operation", said)
        return operation

    def _watch(self) -> Watch:
        if "watch" not in self.data:
            return Watch()
        value = self.collector.group(self.data["watch"], "watch", "what shows the crew a failure")
        monitors = self._inner(value, "watch", "monitors", Monitor, "monitor")
        checks = self._inner(value, "watch", "checks", Check, "check")
        self.collector.piece(
            Watch, {k: v for k, v in value.items() if k not in ("monitors", "checks")}, "watch", "watch"
        )
        # not validated again: a name that is too long was reported above
        return Watch().model_copy(
            update={"monitors": MappingProxyType(monitors), "checks": MappingProxyType(checks)}
        )

    def _concessions(self) -> tuple[Concession, ...]:
        raw = self.data.get("concessions", [])
        if not isinstance(raw, list):
            self.collector.say("concessions", f"`concessions` is {shown(raw)}; expected a list")
            return ()
        found = [
            self.collector.piece(Concession, entry, f"concessions/{i}", "concession")
            for i, entry in enumerate(raw)
        ]
        return tuple(c for c in found if c)


def _for_the_uses(function: Function, uses: tuple[UseWord, ...]) -> Function:
    """The function with the worst class of its loss that the uses of the aircraft allow."""
    if not isinstance(function.loss, LossWord):
        return function
    return function.model_copy(update={"loss": LossWord.of(function.loss.by_use, uses)})


def _mechanical(functions: Mapping[str, Function]) -> Iterator[tuple[str, MechanicalName]]:
    """(pointer, name) of each channel that needs no electricity."""
    for name, function in functions.items():
        for i, channel in enumerate(function.of):
            if isinstance(channel, MechanicalName):
                yield pointer("functions", name) + f"/of/{i}", channel


def _completed(wires: Mapping[str, Wire], common: CommonWire) -> dict[str, Wire]:
    """The wires with what all of them have in common, where they do not say otherwise."""
    given = {key: value for key, value in common if value is not None}
    missing = {name: {k: v for k, v in given.items() if getattr(w, k) is None} for name, w in wires.items()}
    return {n: w.model_copy(update=missing[n]) if missing[n] else w for n, w in wires.items()}


def _displayed(watch: Watch, parts: Mapping[str, Any]) -> Watch:
    """The monitors, those that sense at an input of an instrument displayed on it if not said otherwise."""
    shown = {}
    for name, monitor in watch.monitors.items():
        unit, _, terminal = monitor.senses.partition(".")
        inputs = getattr(parts.get(unit), "inputs", {}).values()
        if monitor.displayed_on is None and terminal in {one.signal for one in inputs}:
            shown[name] = monitor.model_copy(update={"displayed_on": unit})
    monitors = MappingProxyType({n: shown.get(n, m) for n, m in watch.monitors.items()})
    return watch.model_copy(update={"monitors": monitors}) if shown else watch
