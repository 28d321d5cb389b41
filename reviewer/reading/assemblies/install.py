"""The assemblies that a file has installed -> the circuits, parts and wires that they stand for."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from reviewer.model.filled_value import FilledIn
from reviewer.model.places import Spot
from reviewer.reading.assemblies.definition import GROUPS, Assembly, Data, Parameter, assembly_of
from reviewer.reading.assemblies.fill import Argument, Filling, NotFilled
from reviewer.reading.assemblies.library import library_assembly, library_names
from reviewer.reading.assemblies.sibling import assemblies_beside
from reviewer.reading.beside import FilesBeside
from reviewer.reading.circuits.path_text import PathText
from reviewer.reading.circuits.traps import BRACES
from reviewer.reading.circuits.wire_numbers import letter_number_name, needs_letter
from reviewer.reading.problem import Problem, nearest, shown
from reviewer.reading.sizes import MOST_FROM_ASSEMBLIES
from reviewer.reading.unread_names import UnreadNames
from reviewer.reading.yaml_events import Places, Refused, pointer

#: the keys of a file that belong to assemblies
OWN_KEYS = ("assembly-files", "assemblies", "installed")
#: how many assemblies may stand in one another
DEEPEST = 8


class Installed:
    """What the assemblies of a file make: ``made`` has circuits, parts and wires, ``by_call`` the names
    of them for each entry of ``installed``; ``unread`` the names of what a mistake has kept from being made;
    ``full`` that they make too many, so that some are left out."""

    def __init__(
        self, data: Data, values: Places, keys: Places, problems: list[Problem], beside: FilesBeside
    ):
        self.data, self.values, self.keys, self.problems = data, values, keys, problems
        self.made: dict[str, Data] = {"circuits": {}, "parts": {}, "wires": {}}
        self.by_call: dict[str, dict[str, list[str]]] = {}
        self.unread = UnreadNames()
        self._count, self.full = 0, False
        self.known: dict[str, Assembly] = {}
        mistakes = len(problems)
        for there in assemblies_beside(data.get("assembly-files"), beside, self.say):
            self.known[there.name] = there
        #: whether a file beside has a mistake, so that an assembly may be missing for it
        self._some_unread = len(problems) > mistakes
        self._broken: set[str] = set()
        self._defaults: dict[tuple[str, str], tuple[Parameter, list[str]]] = {}
        self._without_letter: set[str] = set()
        for name, value in self._group("assemblies", "assemblies by name").items():
            one = assembly_of(name, value, "", (values, keys), self.say)
            if one is None:
                self._broken.add(name)
            elif name in self.known:
                said = f"assembly `{name}` is in {self.known[name].file} already; give one another name"
                self.say(pointer("assemblies", name), said, key=True)
            else:
                self.known[name] = one
        for key, call in self._group("installed", "what is installed by name").items():
            self.by_call[key] = {group: [] for group in self.made}
            self._install(key, call, pointer("installed", key), (), key)

    def data_with_made(self) -> Data:
        """The data of the file with what is made in place of the assemblies."""
        left = {k: v for k, v in self.data.items() if k not in OWN_KEYS}
        for group, made in self.made.items():
            given = self.data.get(group, {})
            if made and isinstance(given, dict):
                left[group] = {**given, **made}
                self.values.setdefault(group, self.values["installed"])
                self.keys.setdefault(group, self.keys.get("installed", (1, 1)))
        return left

    @property
    def defaults(self) -> tuple[FilledIn, ...]:
        """The defaults of assemblies that their calls rest on."""
        return tuple(
            FilledIn(
                f"{name} of assembly {assembly}",
                Argument(parameter.default, None).text,
                f"Default of the assembly for its {parameter.about or name}.",
                tuple(calls),
            )
            for (assembly, name), (parameter, calls) in self._defaults.items()
        )

    def say(self, at: str, message: str, *, key: bool = False) -> None:
        """A mistake at a pointer; ``key`` puts it at the key instead of the value."""
        where = at
        while (place := (self.keys.get(where) if key else None) or self.values.get(where)) is None:
            where = where.rpartition("/")[0]
        self.problems.append(Problem(*place, at, message))

    def _group(self, key: str, what: str) -> Data:
        value = self.data.get(key, {})
        if isinstance(value, dict):
            return value
        if value is not Refused:
            self.say(key, f"expected {what}, found {shown(value)}")
        return {}

    def _install(self, key: str, call: Any, at: str, within: tuple[str, ...], top: str) -> None:
        letters, number, name = letter_number_name(key)
        if not name or "." in name:
            said = f"the name {shown(key)} of what is installed must have letters and no dot"
            self.say(at, f"{said}: parts are named after it", key=True)
            return
        self.unread.calls.add(name)
        if not isinstance(call, dict):
            if call is not Refused:
                said = (
                    "expected its assembly and what it is given, as `{assembly: sense-lead, from: main-bus}`"
                )
                self.say(at, f"{key}: {said}; found {shown(call)}", key=call is None)
            return
        assembly = self._assembly(key, call, at)
        if assembly is None:
            return
        if assembly.name in within:
            circle = " in ".join((assembly.name, *reversed(within[within.index(assembly.name) :])))
            self.say(f"{at}/assembly", f"{key}: the assembly contains itself: {circle}")
            return
        if len(within) >= DEEPEST:
            self.say(f"{at}/assembly", f"{key}: assemblies are nested more than {DEEPEST} deep")
            return
        arguments = self._arguments(key, call, assembly, at)
        if arguments is not None:
            filling = Filling(assembly, name, self.keys[pointer("installed", top)], arguments)
            self.unread.calls.discard(name)
            self._fill_in(filling, f"{letters}{number} " if letters else "", (*within, assembly.name), top)

    def _assembly(self, key: str, call: Data, at: str) -> Assembly | None:
        wanted = call.get("assembly")
        if not isinstance(wanted, str):
            if wanted is not Refused:
                said = "`assembly` is missing" if wanted is None else f"`assembly` is {shown(wanted)}"
                said += ": it names what is installed"
                self.say(f"{at}/assembly", f"{key}: {said}; write for example `assembly: sense-lead`")
            return None
        found = self.known.get(wanted)
        if found is None and wanted not in self._broken:
            found = library_assembly(wanted)
            if found is None and not self._some_unread:
                known = [*self.known, *self._broken, *library_names()]
                said = f"{key}: there is no assembly `{wanted}`{nearest(wanted, known)}"
                self.say(f"{at}/assembly", f"{said}; `reviewer assemblies` lists those of the library")
        return found

    def _arguments(self, key: str, call: Data, assembly: Assembly, at: str) -> Mapping[str, Argument] | None:
        found, sound = {}, True
        for name, value in call.items():
            if name == "assembly":
                continue
            sound = self._fits(key, name, value, assembly, pointer(at, name)) and sound
            found[name] = Argument(value, self.values.get(pointer(at, name)))
        missing = [
            n
            for n, p in assembly.parameters.items()
            if n not in found and p.default is None and not p.optional
        ]
        if missing and sound:
            about = [_about(name, assembly.parameters[name]) for name in missing]
            self.say(at, f"{key}: assembly {assembly.name} also needs {', '.join(about)}")
        if missing or not sound:
            return None
        for name, parameter in assembly.parameters.items():
            if name not in found and not parameter.optional:
                self._defaults.setdefault((assembly.name, name), (parameter, []))[1].append(key)
            found.setdefault(name, Argument("" if parameter.optional else parameter.default, None))
        return found

    def _fits(self, key: str, name: str, value: Any, assembly: Assembly, at: str) -> bool:
        if name not in assembly.parameters:
            if value is None and (" " in name or ")" in name):
                self.say(at, f"{key}: {BRACES}", key=True)
                return False
            said = f"{key}: assembly {assembly.name} has no parameter `{name}`"
            said += nearest(name, assembly.parameters)
            known = ", ".join(assembly.parameters) or "none"
            self.say(at, f"{said}; it has {known}", key=True)
            return False
        if value is Refused:
            return False
        if (
            isinstance(value, dict)
            or value is None
            or (isinstance(value, list) and not all(isinstance(v, str | int | float) for v in value))
        ):
            said = f"{key}: `{name}` is {shown(value)}; expected text, a number, or a list of them"
            self.say(at, said, key=value is None)
            return False
        return True

    def _fill_in(self, filling: Filling, letters: str, within: tuple[str, ...], top: str) -> None:
        assembly = filling.assembly
        for group in GROUPS:
            for name, value in assembly.groups[group].items():
                if self.full:
                    return
                drawn = pointer(f"{assembly.at}/{group}", name)
                self._entry(filling, group, (name, value), drawn, letters, within, top)

    def _entry(
        self,
        filling: Filling,
        group: str,
        entry: tuple[str, Any],
        drawn: str,
        letters: str,
        within: tuple[str, ...],
        top: str,
    ) -> None:
        """One circuit, part, wire or assembly of an assembly."""
        key_place = filling.assembly.keys[drawn]
        name = self._filled_key(filling, entry[0], key_place)
        if name is None:
            return
        if group in ("circuits", "installed") and not letter_number_name(name)[0]:
            name = f"{letters}{name}"
            if group == "circuits" and not letters:
                self._no_letter(top)
        at = pointer(group, name)
        given = self.data.get(group)
        place = filling.drawn(key_place)
        if group != "installed" and (name in self.made[group] or (isinstance(given, dict) and name in given)):
            said = f"`{name}` is under `{group}` in line {self.keys[at][0]} already"
            said += (
                "" if "$" in entry[0] else f"; begin its name in the assembly with `$name`: `$name-{name}`"
            )
            self.problems.append(Problem(*place, at, said))
            return
        if group == "installed":
            at = f"{at} in {top}"  # its places stand apart from those of the file
        value = self._filled(filling, entry[1], drawn, at)
        self.keys[at] = place
        if group != "installed":
            self.made[group][name] = value
            self.by_call[top][group].append(name)
        elif value is not Refused:
            self._install(name, value, at, within, top)

    def _no_letter(self, call: str) -> None:
        """Say once of a call that it lacks the letter and number by which its wires are numbered."""
        at = pointer("installed", call)
        if needs_letter(self.data.get("wire-numbers")) and at not in self._without_letter:
            self._without_letter.add(at)
            said = f"{call}: `wire-numbers` needs its letter and number before its name"
            self.say(at, f"{said}: `{call[:1].upper()}1 {call}: ...`", key=True)

    def _filled_key(self, filling: Filling, key: str, place: Spot) -> str | None:
        try:
            return str(filling.value(key, place)[0])
        except NotFilled as error:
            self.problems.append(Problem(*filling.drawn(place), "", error.message))
            return None

    def _filled(self, filling: Filling, value: Any, drawn: str, at: str) -> Any:
        """A value of the drawing with the parameters filled in; ``Refused`` where one is mistaken."""
        self._count += 1
        place = filling.assembly.values.get(drawn, (1, 1))
        self.values[at] = filling.drawn(place)
        if self._count > MOST_FROM_ASSEMBLIES:
            if not self.full:
                said = (
                    f"what is installed makes more than {MOST_FROM_ASSEMBLIES:,} entries, which are not read"
                )
                self.say("installed", said)
            self.full = True
            return Refused
        if isinstance(value, dict):
            found: Data = {}
            for key, inner in value.items():
                below = pointer(drawn, key)
                key_place = filling.assembly.keys.get(below, place)
                if isinstance(inner, str) and filling.left_out(inner):
                    continue
                name = self._filled_key(filling, key, key_place)
                if name is not None:
                    found[name] = self._filled(filling, inner, below, pointer(at, name))
                    self.keys[pointer(at, name)] = filling.drawn(key_place)
            return found
        if isinstance(value, list):
            kept = [i for i, v in enumerate(value) if not (isinstance(v, str) and filling.left_out(v))]
            return [
                self._filled(filling, value[i], f"{drawn}/{i}", f"{at}/{new}") for new, i in enumerate(kept)
            ]
        try:
            filled, self.values[at] = filling.value(value, place)
            self._count += len(filled) // 100 if isinstance(filled, str) else 0
            return filled
        except NotFilled as error:
            word = value.place(error.at) if isinstance(value, PathText) else place
            self.problems.append(Problem(*filling.drawn(word), at, error.message))
            return Refused


def _about(name: str, parameter: Parameter) -> str:
    example = f" {parameter.example}" if parameter.example is not None else " ..."
    return f"`{name}:{example}`" + (f" ({parameter.about})" if parameter.about else "")
