"""Wires that are too thin for a protective device, each limit reported once.

A device that is too large for a wire at its own terminal is too large for every wire behind it, of
the feed or of the return, that is no thicker than its rating asks: one finding names those that
are no thinner than that wire. A wire that a source energises with no protection is reported for
that alone.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from functools import cached_property

from reviewer.analysis.not_assessable import NotAssessable
from reviewer.analysis.protection.wire_protection import STUB_M, EndFeed, largest_rating
from reviewer.model import parts as p
from reviewer.model.design import Design
from reviewer.model.rounding import exceeds
from reviewer.network.graph import bare


class ThinWires:
    """What protects each wire, and where it is too large for it. Wires and devices are names."""

    def __init__(
        self,
        design: Design,
        feeds: Mapping[str, tuple[EndFeed, ...]],
        exempt: frozenset[str],
        starting: frozenset[str],
        unprotected: Callable[[str], object],
    ):
        self.design, self.feeds, self.exempt = design, feeds, exempt
        #: those that no device has to be small enough for
        self.free = exempt | starting
        self._unprotected = unprotected

    def at_device(self, protector: str) -> list[str]:
        """The wires at the terminal that a device feeds.

        But the 6 in (0.1524 m) that join it to a source or bus or to the next device, where that
        one is small enough for the wire, wires that are unprotected, and the cables of a starter.
        """
        wires = self._at.get(protector, ())
        return [w for w in wires if f"wires/{w}" not in self.free and not self.is_unprotected(w)]

    @cached_property
    def _at(self) -> Mapping[str, list[str]]:
        """Device -> the wires at the terminal that it feeds, the unprotected ones too."""
        found: dict[str, dict[str, None]] = {}
        for wire, feeds in self.feeds.items():
            for feed in feeds:
                device = feed.end.partition(".")[0]
                if (
                    f"parts/{device}" in feed.protectors
                    and not _joins_source(feed, feeds)
                    and not self._taps(bare(wire), feed.end)
                ):
                    found.setdefault(device, {})[bare(wire)] = None
        return {device: list(wires) for device, wires in found.items()}

    def before(self, wire: str) -> list[tuple[str, EndFeed]]:
        """The devices upstream of a wire that does not start at them, with the feed of each.

        The largest first: it leaves the wire least protected. None for a stub of 6 in (0.1524 m) to
        the first device.
        """
        found: dict[str, EndFeed] = {}
        for feed in self.feeds[f"wires/{wire}"]:
            short = feed.run_m is not None and not exceeds(feed.run_m, STUB_M)
            if not short and not self._short_lead_to_protection(wire, feed.end):
                for protector in feed.protectors:
                    if feed.end.partition(".")[0] != bare(protector):
                        found.setdefault(bare(protector), feed)
        return sorted(found.items(), key=lambda entry: -(self._rating(entry[0]) or float("inf")))

    def is_unprotected(self, wire: str) -> bool:
        """Whether a source energises a wire with no protection; False where that is not known."""
        try:
            return f"wires/{wire}" not in self.exempt and bool(self._unprotected(f"wires/{wire}"))
        except NotAssessable:
            return False

    def told_at(self, protector: str, amps: float) -> bool:
        """Whether a device is too large for a wire at its own terminal that may have ``amps`` at
        most, or less.
        """
        return any(self._too_thin(protector, wire, amps) for wire in self.at_device(protector))

    def told_on(self, protector: str, path: Iterable[str], amps: float) -> bool:
        """Whether a device is too large for a wire of a feed (``path``, pointers) that may have
        ``amps`` at most, or less.
        """
        wires = [bare(e) for e in path if e.startswith("wires/") and e in self.feeds]
        behind = [w for w in wires if protector in dict(self.before(w)) and f"wires/{w}" not in self.exempt]
        return self.told_at(protector, amps) or any(
            self._too_thin(protector, wire, amps) and not self.is_unprotected(wire) for wire in behind
        )

    def alike(self, protector: str, amps: float) -> list[str]:
        """The wires behind a device that its rating is too large for, and that may have ``amps`` or
        more.
        """
        needy = (bare(w) for w in self.feeds if w not in self.free)
        behind = [wire for wire in needy if protector in dict(self.before(wire))]
        limits = {wire: self._exceeded(protector, wire) for wire in behind}
        return [wire for wire, limit in limits.items() if limit is not None and limit >= amps]

    def too_large_for(self, wire: str) -> list[str]:
        """The devices through which sources feed a wire, at its ends or further up, that are too large."""
        if f"wires/{wire}" not in self.feeds:
            return []
        at_ends = (d for d in self.design.wires[wire].joined_parts if wire in self.at_device(d))
        return [d for d in (*dict(self.before(wire)), *at_ends) if self.is_too_thin(d, wire)]

    def is_too_thin(self, protector: str, wire: str) -> bool:
        """Whether the rating of a device is above the largest for a wire."""
        return self._exceeded(protector, wire) is not None

    def _exceeded(self, protector: str, wire: str) -> float | None:
        """The largest rating for a wire, in amperes, where that of a device is above it."""
        try:
            limit = largest_rating(self.design, protector, wire)[1].amps
        except NotAssessable:
            return None
        return limit if (self._rating(protector) or 0.0) > limit else None

    def _too_thin(self, protector: str, wire: str, amps: float) -> bool:
        limit = self._exceeded(protector, wire)
        return limit is not None and limit <= amps

    def _rating(self, protector: str) -> float | None:
        return self.design.part(protector, p.Protector).rating

    def _short_lead_to_protection(self, wire: str, end: str) -> bool:
        length = self.design.wires[wire].length
        short = length is not None and not exceeds(length, STUB_M)
        return short and isinstance(self.design.parts[self._far(wire, end)], p.Protector)

    def _taps(self, wire: str, end: str) -> bool:
        """Whether a wire is a short lead from an end to a device that its gauge may have."""
        far = self._far(wire, end)
        try:
            return self._short_lead_to_protection(wire, end) and (
                largest_rating(self.design, far, wire)[1].amps >= (self._rating(far) or float("inf"))
            )
        except NotAssessable:
            return False

    def _far(self, wire: str, end: str) -> str:
        spec = self.design.wires[wire]
        return (spec.to if end == spec.from_ else spec.from_).partition(".")[0]


def _joins_source(feed: EndFeed, feeds: Iterable[EndFeed]) -> bool:
    """Whether a wire is the 6 in (0.1524 m) between a source or bus and what is at an end of it."""
    others = (f.run_m for f in feeds if f.end != feed.end)
    return any(run is not None and not exceeds(run, STUB_M) for run in others)
