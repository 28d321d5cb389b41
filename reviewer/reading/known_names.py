"""The names that a file gives, and what is said where one that is used is none of them."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from typing import Any

from reviewer.model.article import with_article
from reviewer.model.operation import NORMAL
from reviewer.model.parts import Part
from reviewer.reading.collector import Collector
from reviewer.reading.made_states import possible_names
from reviewer.reading.problem import nearest, nearest_names
from reviewer.reading.yaml_events import pointer

#: keys that say which terminals a part has
_TELL_TERMINALS = (
    "excitation", "positions", "coil", "contacts", "supplies", "returns", "inputs", "pins", "senses",
    "plugged-on", "control-pin", "outputs", "ground",
)  # fmt: skip

#: names at each end of a long way that are written out
_ENDS = 6
#: the most names that are listed where one that is used is none of them, and of which the nearest are
_LISTED, _NAMED = 8, 24


def terminals_of(collector: Collector, name: str, part: Part) -> tuple[str, ...] | None:
    """The terminals of a part, or None where a mistake leaves them unknown."""
    return part.terminals() if collector.sound(pointer("parts", name), *_TELL_TERMINALS) else None


def along(names: Sequence[str]) -> str:
    """Names with arrows between; of many, the first and the last."""
    shown = names if len(names) <= 2 * _ENDS else (*names[:_ENDS], "...", *names[-_ENDS:])
    return " -> ".join(shown)


class Names:
    """The names of a file by what they name. A name whose piece is itself broken is still known."""

    def __init__(
        self,
        collector: Collector,
        data: dict[str, Any],
        parts: Mapping[str, Any],
        later: Collection[str] = (),
    ):
        self.collector, self.data, self.parts, self.later = collector, data, parts, later
        self._had: dict[str, dict[str, None] | None] = {}
        self.part_names = self._names(data, "parts")
        self.wire_names = self._names(data, "wires")
        self.function_names = self._names(data, "functions")
        self.mechanical_names = self._mechanical(data.get("functions"))
        self.state_names = self._names(data.get("operation"), "states")
        #: the state of normal flight, where it is made of the normal positions of the switches
        made = self.state_names and NORMAL not in self.state_names and NORMAL in possible_names(data)
        self.made_state = NORMAL if made else ""
        self.state_names |= {NORMAL: None} if made else {}
        self.set_names = {**self.state_names, **dict.fromkeys(possible_names(data))}
        self.phase_names = self._names(data.get("operation"), "phases")
        self.action_names = self._names(data.get("operation"), "actions")
        self.monitor_names = self._names(data.get("watch"), "monitors")
        self.zone_names = self._names(data.get("aircraft"), "zones")
        self.engine_names = self._listed(data.get("aircraft"), "engines")
        self.seat_names = self._listed(data.get("aircraft"), "pilot-seats")

    @staticmethod
    def _names(owner: Any, key: str) -> dict[str, None]:
        group = owner.get(key) if isinstance(owner, dict) else None
        return dict.fromkeys(group) if isinstance(group, dict) else {}

    @staticmethod
    def _mechanical(functions: Any) -> dict[str, None]:
        """The channels that need no electricity, as functions name them."""
        entries = functions.values() if isinstance(functions, dict) else ()
        lists = [e["of"] for e in entries if isinstance(e, dict) and isinstance(e.get("of"), list)]
        named = [c.get("mechanical") for channels in lists for c in channels if isinstance(c, dict)]
        return dict.fromkeys(n for n in named if isinstance(n, str))

    @staticmethod
    def _listed(owner: Any, key: str) -> dict[str, None]:
        names = owner.get(key) if isinstance(owner, dict) else None
        return dict.fromkeys(n for n in names if isinstance(n, str)) if isinstance(names, list) else {}

    def _terminal(self, ref: str, at: str, what: str) -> None:
        owner, _, terminal = ref.partition(".")
        if owner in self.collector.unread and owner not in self.part_names:
            return
        if owner in self.later:
            self._not_there_yet(owner, at, what)
        elif owner not in self.part_names:
            self.collector.refer(at, f"{what}: there is no part `{owner}`{nearest(owner, self.part_names)}")
        elif owner in self.parts and not self.parts[owner].open_ended:
            had = self._terminals_had(owner)
            bus = getattr(self.parts[owner], "plugged_on", None)
            if bus is not None and terminal == "line":
                said = f"{what}: {owner} is plugged on {bus}, which feeds its `line`"
                self.collector.refer(at, f"{said}; remove this wire, or `plugged-on`")
            elif had is not None and terminal not in had:
                hint = f"{nearest(terminal, had)}; it has {', '.join(had)}"
                self.collector.refer(at, f"{what}: {owner} has no terminal `{terminal}`{hint}")

    def _terminals_had(self, owner: str) -> dict[str, None] | None:
        """The terminals of a part, spare ones too, None where a mistake hides them: asked for each wire."""
        if owner not in self._had:
            part = self.parts[owner]
            known = terminals_of(self.collector, owner, part)
            self._had[owner] = None if known is None else dict.fromkeys((*known, *part.spare_terminals()))
        return self._had[owner]

    def _known(
        self, name: str, known: Collection[str], at: str, what: str, kind: str, hint: str | None = None
    ) -> bool:
        """Whether a name is among some; else that is a problem, with what may be meant unless a ``hint``
        says it."""
        if name in known:
            return True
        if name in self.collector.unread:
            return False
        if name in self.later:
            self._not_there_yet(name, at, what)
            return False
        if hint is None:
            hint = nearest(name, known) or ("" if known is self.part_names else self._those(known, name))
        self.collector.refer(at, f"{what}: there is no {kind} `{name}`{hint}")
        return False

    def _not_there_yet(self, name: str, at: str, what: str) -> None:
        said = f"{what}: `{name}` is fitted later, so it is not there to be named"
        self.collector.refer(at, f"{said}; remove the name here, or `fitted: later` there")

    @staticmethod
    def _those(known: Collection[str], name: str) -> str:
        """The names that there are; of more the nearest ones. Nothing where they are many, or none."""
        if not 0 < len(known) <= _NAMED:
            return ""
        if len(known) <= _LISTED:
            return f"; there {'is' if len(known) == 1 else 'are'} {', '.join(known)}"
        return f"; there are {len(known)}, the nearest names {', '.join(nearest_names(name, known))}"

    def _kinds(self, names: tuple[str, ...], kind: Any, at: str, what: str, words: str) -> None:
        for i, name in enumerate(names):
            self._kind(name, kind, f"{at}/{i}", what, words)

    def _kind(self, name: str, kind: Any, at: str, what: str, words: str) -> None:
        part = self.parts.get(name)
        if part is None:
            right = [n for n, other in self.parts.items() if isinstance(other, kind)]
            right = [n for n in right if getattr(self.parts[n], "type", None) == words] or right
            hint = (
                (nearest(name, right) or self._those(right, name))
                if right
                else nearest(name, self.part_names)
            )
            self._known(name, self.part_names, at, what, words, hint)
        elif not isinstance(part, kind):
            self.collector.refer(
                at, f"{what}: `{name}` is {with_article(part.kind)}, not {with_article(words)}"
            )

    def _zone(self, zone: str | None, at: str, what: str) -> None:
        """Zones are free words until the aircraft has a list of them."""
        if zone is not None and self.zone_names:
            self._known(zone, self.zone_names, at, what, "zone")

    @staticmethod
    def _circle(start: str, following: Any) -> list[str]:
        """The way from a name back to itself, or nothing."""
        todo, before = [start], {start: ""}
        while todo:
            name = todo.pop()
            for other in following(name):
                if other == start:
                    way = [start]
                    while name:
                        way.append(name)
                        name = before[name]
                    return way[::-1]
                if other not in before:
                    before[other] = name
                    todo.append(other)
        return []
