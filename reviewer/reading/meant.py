"""What a builder means who writes the trade's word where the file has a word of its own."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from reviewer.model.article import with_article

_CHEMISTRIES = {
    "agm": "lead-acid", "gel": "lead-acid", "flooded": "lead-acid", "lifepo4": "lithium-iron-phosphate",
}  # fmt: skip
_NOMINALS = {"12": "14 V", "24": "28 V"}

#: words for kinds of parts -> the kinds that may be meant
KINDS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "ground": ("ground-block", "airframe"),
        "earth": ("ground-block", "airframe"),
        "engine": ("airframe, material: metal",),
        "structure": ("airframe",),
        "solenoid": ("contactor",),
        "generator": ("alternator",),
        "dynamo": ("alternator",),
        "bus-bar": ("bus",),
        "busbar": ("bus",),
        "button": ("switch",),
        "toggle": ("switch",),
        "pump": ("load",),
        "strobe": ("load",),
        "ignition": ("load", "magneto"),
        "circuit-breaker": ("breaker",),
        "cb": ("breaker",),
        "lamp": ("load",),
        "light": ("load",),
        "motor": ("load",),
        "starter": ("load",),
        "heater": ("load",),
        "beacon": ("load",),
        "horn": ("load",),
        "servo": ("load",),
        "radio": ("instrument",),
        "transponder": ("instrument",),
        "intercom": ("instrument",),
        "display": ("instrument",),
        "efis": ("instrument",),
        "engine-monitor": ("instrument",),
        "audio-panel": ("instrument",),
        "autopilot": ("instrument",),
        "tachometer": ("instrument",),
        "voltmeter": ("instrument",),
        "ammeter": ("instrument",),
        "condenser": ("capacitor",),
        "accumulator": ("battery",),
        "cell": ("battery",),
        "fuselink": ("fuse", "limiter"),
        "fusible-link": ("fuse", "limiter"),
        "anl": ("limiter",),
        "plug": ("connector",),
    }
)


def meant(key: str, found: object) -> str:
    """What to write for the value of a key, as the end of a sentence; nothing where no word of the
    trade is known."""
    word = str(found).strip()
    if key == "chemistry" and (chemistry := _CHEMISTRIES.get(word.lower())):
        return (
            f"; {with_article(word)} battery is {with_article(chemistry)} battery: write `{key}: {chemistry}`"
        )
    if key == "figures" and word == "estimate":
        return "; write each figure that is an estimate with its sign, `~5 A`, or by its ends, `4 to 6 A`"
    number = word.upper().removesuffix("V").strip()
    if key == "nominal" and (nominal := _NOMINALS.get(number)):
        return f"; a {number} V system is nominal {nominal}, its charging voltage: write `{key}: {nominal}`"
    return ""
