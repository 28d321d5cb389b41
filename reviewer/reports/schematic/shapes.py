"""The symbols, drawn by us after the shapes of IEC 60617 and IEEE 315 (from memory).

Each stands on the line x = 0, from y = 0 to y = HEIGHT.

The names of classes say what a style sheet may do: ``w`` a line, ``s`` a solid face, ``t`` a
letter, ``lever`` and ``open`` the two ways in which a contact is drawn.
"""

from __future__ import annotations

HEIGHT = 44
STEP = 14
_MID = HEIGHT // 2


def _wire(d: str, kind: str = "w") -> str:
    return f'<path class="{kind}" d="{d}"/>'


def _letter(text: str, x: float = 0, y: float = _MID + 4) -> str:
    return f'<text class="t" x="{x:g}" y="{y:g}">{text}</text>'


#: symbols that are always drawn in the same way
FIXED: dict[str, str] = {
    "breaker": _wire("M0 0V13M0 31V44M0 13A9 9 0 0 1 0 31") + _wire("M-3 13H3M-3 31H3"),
    "fuse": _wire("M0 0V44M-5 11H5V33H-5Z"),
    "limiter": _wire("M0 0V44M-5 9H5V35H-5ZM-5 14H5M-5 30H5"),
    "shunt": _wire("M0 0V10M0 34V44M-6 10H6V34H-6Z") + _wire("M-6 15H-10M-6 29H-10"),
    "diode": _wire("M0 0V44M-8 30H8") + _wire("M-8 14H8L0 30Z", "s"),
    "resistor": _wire("M0 0V10M0 34V44M-6 10H6V34H-6Z"),
    "capacitor": _wire("M0 0V19M0 25V44") + _wire("M-9 19H9M-9 25H9", "w thick") + _letter("+", 12, 16),
    "potentiometer": _wire("M0 0V10M0 34V44M-6 10H6V34H-6ZM14 22H6M6 22L10 19M6 22L10 25M14 44V22"),
    "dimmer": _wire("M0 0V11M0 33V44M14 44V26H10M-10 11H10V33H-10ZM-6 29L6 15M6 15L1 16M6 15L5 20"),
    "coil": _wire("M0 0V13M0 31V44M-10 13H10V31H-10ZM-10 31L-2 13"),
    "pin": _wire("M0 0V18M-6 14A6 6 0 0 0 6 14M0 24V44") + _wire("M-2 21H2V34H-2Z", "s"),
    "to-ground": _wire("M0 0V12M-9 12H9M-6 16H6M-3 20H3"),
    "to-structure": _wire("M0 0V12M-9 12H9M-8 12L-12 20M0 12L-4 20M8 12L4 20"),
    "to-negative": _wire("M0 0V10M-5 10H5M-9 16H9") + _letter("−", 12, 15),
    "to-signal": _wire("M0 0V8M-6 8H6V16L0 22L-6 16Z"),
    "magneto": _wire("M0 0V11M0 33V44M0 11A11 11 0 0 1 0 33A11 11 0 0 1 0 11Z")
    + _wire("M-6 26L2 15L-1 22H5L-2 30"),
    "sensor": _wire("M0 0V12M0 32V44")
    + _wire("M0 12A10 10 0 0 1 0 32A10 10 0 0 1 0 12ZM-5 27L5 17M5 17L1 18M5 17L4 21"),
}
#: symbols with ports at the top and bottom, as many as the part has: loads, and the regulator, a
#: box that holds a voltage constant
_BLOCKS: dict[str, str] = {
    "motor": _wire("M0 11A11 11 0 0 1 0 33A11 11 0 0 1 0 11Z") + _letter("M"),
    "starter": _wire("M0 11A11 11 0 0 1 0 33A11 11 0 0 1 0 11Z") + _letter("MS", 0, _MID + 3.5),
    "lamp": _wire("M0 11A11 11 0 0 1 0 33A11 11 0 0 1 0 11ZM-8 14L8 30M-8 30L8 14"),
    "instrument": _wire("M0 11A11 11 0 0 1 0 33A11 11 0 0 1 0 11Z") + _letter("I"),
    "heater": _wire("M-8 11H8V33H-8ZM-8 16.5H8M-8 22H8M-8 27.5H8"),
    "resistive": _wire("M0 11L-6 13L6 17L-6 21L6 25L-6 29L0 33"),
    "inductive": _wire("M0 11A4 3.7 0 0 1 0 18.4A4 3.7 0 0 1 0 25.7A4 3.7 0 0 1 0 33"),
    "electronic": _wire("M-11 11H11V33H-11ZM-6 22H-2L0 17L2 27L4 22H7"),
    "load": _wire("M-11 11H11V33H-11Z"),
    "regulator": _wire("M-11 11H11V33H-11Z") + _letter("U=", 0, _MID + 3.5),
}
BLOCKS = tuple(_BLOCKS)


def block(kind: str, top: int, bottom: int) -> str:
    """A load or regulator with so many ports at its top and bottom; several are gathered on a line,
    those of a regulator stand apart."""
    if kind == "regulator":
        return _BLOCKS[kind] + apart(top, 0, 11) + apart(bottom, HEIGHT, 33)
    return gathered(top, 0, 11) + _BLOCKS[kind] + gathered(bottom, HEIGHT, 33)


def apart(ports: int, edge: int, face: int) -> str:
    """The leads of ``ports`` ports that are no one circuit, from the edge of the cell to the face."""
    bend = (edge + face) // 2
    near = (0, 7, -7)
    return _wire("".join(f"M{i * STEP} {edge}V{bend}H{near[i]}V{face}" for i in range(ports)))


def gathered(ports: int, edge: int, face: int) -> str:
    """The leads of ``ports`` ports between the edge of the cell and the face of a symbol."""
    if ports <= 1:
        return _wire(f"M0 {edge}V{face}") if ports else ""
    bend = (edge + face) // 2
    leads = "".join(f"M{i * STEP} {edge}V{face if i == 0 else bend}" for i in range(ports))
    return _wire(f"{leads}M0 {bend}H{(ports - 1) * STEP}")


def source(kind: str, second: float, leads: int, marks: tuple[str, ...]) -> str:
    """A source with its positive at x = 0 and its negative at x = ``second``, both at the bottom.

    ``leads`` at the top: the input of a charger and its return; for each of ``marks`` of another
    source a lead with that letter starts at the top right.
    """
    middle = second / 2
    if kind in ("charger", "converter"):
        box = f"M{middle - 12} 8H{middle + 12}V26H{middle - 12}Z"
        slant = f"M{middle - 12} 26L{middle + 12} 8"
        inputs = "".join(
            f"M{second + i * STEP:g} 0V{3 + 2 * i}H{middle + 7 - 14 * i:g}V8" for i in range(leads)
        )
        return (
            _wire(f"M0 44V17H{middle - 12}M{middle + 12} 17H{second}V44{box}{slant}{inputs}")
            + _letter("~" if not leads else "=", middle - 6, 16)
            + _letter("=", middle + 6, 24)
            + _letter("+", 8, 30)
            + _letter("−", second - 8, 30)
        )
    if kind == "battery":
        cells = f"M{middle - 9} 8V26M{middle - 4} 12V22M{middle + 3} 8V26M{middle + 8} 12V22"
        return (
            _wire(f"M0 44V17H{middle - 9}M{middle + 8} 17H{second}V44")
            + _wire(cells, "w thick")
            + _letter("+", 8, 12)
            + _letter("−", second - 8, 12)
        )
    upper = "".join(
        # below the number of a wire that ends here, above the lead of the next mark
        _letter(m, second + i * STEP + 7, 11 if i == len(marks) - 1 else 9)
        for i, m in enumerate(marks)
    )
    lead = "".join(f"M{second + i * STEP} 0V{6 + 6 * i}H{middle + 7 + 5 * i}" for i in range(len(marks)))
    if kind == "external-power":
        ring = f"M{middle - 12} 8H{middle + 12}V26H{middle - 12}Z"
        lead += "V8" if lead else ""
        return (
            _wire(f"M0 44V17H{middle - 12}M{middle + 12} 17H{second}V44{ring}{lead}")
            + upper
            + _letter("EXT", middle, 21)
            + _letter("+", 8, 12)
            + _letter("−", second - 8, 30 if marks else 12)
        )
    ring = f"M{middle - 13} 17A13 13 0 0 1 {middle + 13} 17A13 13 0 0 1 {middle - 13} 17Z"
    wave = f"M{middle - 7} 22C{middle - 3} 16 {middle + 3} 28 {middle + 7} 22"
    return (
        _wire(f"M0 44V17H{middle - 13}M{middle + 13} 17H{second}V44{ring}{lead}{wave}")
        + _letter("G", middle, 16)
        + upper
    )


#: what moves a switch that no hand moves -> the letter in the box that acts on its contact
ACTUATORS = {
    "pressure": "p", "temperature": "\u03b8", "flow": "Q", "level": "h", "inertia": "a", "limit": "x",
    "voltage": "U", "stall": "\u03b1", "gear": "G",
    "current": "I",
}  # fmt: skip


def _actuator(kind: str) -> str:
    """What acts on a contact: a coil, a hand, or the box of what the switch senses."""
    if kind == "breaker-switch":
        return _wire("M0 18A6 6 0 0 1 6 24", "w thin") + _wire("M-10 18V26M-10 22H-5", "w thin")
    if kind in ACTUATORS:  # the box of its letter stands in the middle, so that it is the same turned over
        return _wire("M-9 22H-4M-19 17H-9V27H-19Z", "w thin")
    bar = "M-9 22H-4M-9 18V26" if kind in ("make", "break", "changeover") else "M-10 18V26M-10 22H-5"
    return _wire(bar, "w thin")


def contact(kind: str, throws: int, common_on_top: bool, gate: str = "switch") -> str:
    """A contact with one lever for each throw and one open; a style sheet shows one of them.

    The common is at x = 0. The lever of a ``gate`` without current, or of a switch that is off, has the
    class ``rest``.
    """
    breaks, closed = gate == "break", gate in ("break", "changeover")
    turn = "" if common_on_top else f' transform="matrix(1 0 0 -1 0 {HEIGHT})"'
    fixed = "".join(f"M{i * STEP} 44V31" for i in range(throws)) + "M0 0V13"
    dots = '<circle class="s" cx="0" cy="13" r="1.8"/>' + "".join(
        f'<circle class="s" cx="{i * STEP}" cy="31" r="1.8"/>' for i in range(throws)
    )
    levers = "".join(
        _wire(f"M0 13L{i * STEP} 31", f"w lever l{i}{' rest' if closed and not i else ''}")
        for i in range(throws)
    ) + _wire("M0 13L-9 29", f"w lever open{'' if closed else ' rest'}")
    mark = _wire("M4 13V22H12", "w thin") if breaks else ""
    act = _actuator(kind)
    shape = f"{_wire(fixed)}{dots}{levers}{mark}{act}"
    return f"<g{turn}>{shape}</g>" + (_letter(ACTUATORS[kind], -14, 25) if kind in ACTUATORS else "")
