"""The numbers of wires that a path makes.

``wire-numbers`` is a scheme of these words: ``circuit`` (its name), ``letter`` and ``number``
(those before the name of a circuit, as in ``R3 nav-radio``), ``segment`` (A, B, C along the path),
``wire`` (1, 2, 3 along the path), ``gauge`` (the number of its size) and ``ground`` (N for a wire
that ends at a ground block, the airframe or the negative of a source). Blanks between the words are left out,
other signs stand as they are: ``letter number segment gauge ground`` gives R3A20 and R3B20N, as in
the trade's marking (from memory), and ``circuit-wire``, which holds where the file says nothing,
nav-radio-1 and nav-radio-2.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

from reviewer.reading.problem import shown
from reviewer.reading.yaml_events import Refused

WORDS = ("circuit", "letter", "number", "segment", "wire", "gauge", "ground")
PLAIN = "circuit-wire"
#: what a scheme may be, for editors
PATTERN = rf"^(?:{'|'.join(WORDS)})(?:[^a-z]+(?:{'|'.join(WORDS)}))*$"
_CIRCUIT = re.compile(
    r"(?:(?P<letter>[A-Z]{1,3})(?P<number>[0-9]{1,4}))?(?:(?(letter)(?:\s+|$))(?P<name>.*))", re.DOTALL
)
_WORD = re.compile(r"[a-z]+")


def letter_number_name(key: str) -> tuple[str, str, str]:
    """What a circuit's key holds: ``R3 nav-radio`` has R, 3 and nav-radio, ``nav-radio`` has its name
    alone, and R3 has all three of itself."""
    match = _CIRCUIT.fullmatch(key.strip())
    if match is None:
        return "", "", "-".join(key.split())
    letter, number = match["letter"] or "", match["number"] or ""
    return letter, number, "-".join(match["name"].split()) or letter + number


def needs_letter(scheme: object) -> bool:
    """Whether each circuit must have a letter and number before its name."""
    return isinstance(scheme, str) and bool({"letter", "number"} & set(_WORD.findall(scheme)))


def scheme_of(given: object) -> tuple[str, str]:
    """The scheme that holds, and what is wrong with the ``given`` one; nothing where all is well."""
    words = set(_WORD.findall(given)) if isinstance(given, str) else set()
    unknown = sorted(words - set(WORDS))
    if (
        isinstance(given, str)
        and not unknown
        and words & {"circuit", "number"}
        and words & {"segment", "wire"}
    ):
        return given, ""
    if given is Refused:
        return PLAIN, ""
    said = f"`wire-numbers` is {shown(given)}"
    if unknown:
        said += f": `{unknown[0]}` is not one of its words"
    elif words:
        said += "; without `circuit` or `number`, and `segment` or `wire`, two wires have one number"
    return PLAIN, f"{said}; it is made of {', '.join(WORDS)}, as in `letter number segment gauge ground`"


def wire_number(scheme: str, values: Mapping[str, str]) -> str:
    """The number of a wire; ``values`` has what each word of the scheme stands for."""
    return "".join(_WORD.sub(lambda match: values[match[0]], scheme).split())


def segment(number: int) -> str:
    """A, B, ... Z, AA, AB for 1, 2, ... 26, 27, 28."""
    letters = ""
    while number:
        number, last = divmod(number - 1, 26)
        letters = chr(ord("A") + last) + letters
    return letters
