"""Writes what is committed and compared: schemas, the examples' reviews, what each command answers, the README's answers, the rules' README, the developers' table of figures.

Run ``python -m tests.write_committed`` after a change that is meant to alter them, and read the difference before committing it.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from functools import cache, partial
from pathlib import Path
from typing import Any

from reviewer.analysis.facts import Facts
from reviewer.model.review import Review
from reviewer.reading.schema import design_schema
from reviewer.reports.review.json import as_json
from reviewer.reports.review.text import as_text
from reviewer.rulebook.loader import load_rules
from reviewer.rulebook.rule import Rule
from reviewer.session import review_facts, review_file
from reviewer.tables.lookup import all_tables
from tests.committed_answers import answers
from tests.document_schemas import DOCUMENTS, document_schema
from tests.faults.planted import FAULTED, faulted_text
from tests.once_a_run import once_a_run
from tests.oracle.generator import realistic
from tests.screens import as_screens

ROOT = Path(__file__).parent.parent
EXAMPLES = sorted((ROOT / "examples").glob("*.design.yaml"))
#: their first screens are written beside them, and compared by tests/test_six_aircraft.py
AIRCRAFT = sorted((ROOT / "tests" / "aircraft").glob("*.design.yaml"))
#: generated designs whose first screens are committed: parts and seed
GENERATED = {f"generated-{parts}": (parts, seed) for parts, seed in ((150, 2), (500, 1))}
#: what the rules of a chapter ask for, in the order of the README of the rules
CHAPTERS = {
    "redundancy": "No single failure, and no latent failure with one further, loses a critical function.",
    "backfeed": "No source feeds what it must not feed, in any switch combination.",
    "protection": "Circuit protection is at every wire end that needs it, fits its wire and is selective.",
    "grounding": "Returns are present, low in resistance, and keep noise and ground shift out of signals.",
    "wiring": "Wires, pins and terminals carry their current with a voltage drop within limits.",
    "sources": "Batteries, alternators and external power work within their limits and fail safely.",
    "endurance": "Alternators carry the loads of every phase, and batteries last for the required time.",
    "switching": "Switches, relays and contactors suit their loads and keep critical functions powered.",
    "indication": "Failures and what is left on are indicated to the crew.",
    "documentation": "The design file states what the review, the builder and the inspector need.",
}
FIRST_MARKS = ("<!-- first -->\n", "<!-- end of first -->\n")


def pretty(schema: dict[str, Any]) -> str:
    """A schema as it is committed."""
    return json.dumps(schema, indent=2, ensure_ascii=False) + "\n"


@cache
def example_review(path: Path) -> Review:
    """The review of an example, named as from the checkout's folder."""
    from dataclasses import replace

    name = path.relative_to(ROOT).as_posix()
    rules = load_rules([ROOT / "rules"], installed=False)
    review: Review = once_a_run(f"review of {name}", lambda: review_file(path, rules))
    return replace(review, file=name)


def committed() -> dict[Path, Callable[[], str]]:
    """Every committed file that is made, with what makes its text."""
    schemas = {"design": design_schema, **{name: partial(document_schema, name) for name in DOCUMENTS}}
    made: dict[Path, Callable[[], str]] = {FAULTED: faulted_text}
    for name, schema in schemas.items():
        made[ROOT / "schemas" / f"{name}.schema.json"] = lambda schema=schema: pretty(schema())
    for path in EXAMPLES:
        stem = path.name.removesuffix(".design.yaml")
        made[path.with_name(f"{stem}.review.txt")] = lambda path=path: as_screens([example_review(path)])
        made[path.with_name(f"{stem}.findings.txt")] = lambda path=path: as_text([example_review(path)])
        made[path.with_name(f"{stem}.review.json")] = lambda path=path: as_json([example_review(path)])
    for name in GENERATED:
        made[ROOT / "tests" / "reports" / f"{name}.review.txt"] = partial(generated_screen, name)
    made[ROOT / "README.md"] = lambda: between(
        (ROOT / "README.md").read_text(encoding="utf-8"), FIRST_MARKS, first_review()
    )
    made |= answers()
    made[ROOT / "rules" / "README.md"] = rules_readme
    made[ROOT / "reviewer" / "tables" / "README.md"] = figures_readme
    return made


def generated_screen(name: str) -> str:
    """The first screen of a generated design, of which each part was placed by chance."""
    facts = Facts(realistic(*GENERATED[name]))
    rules = load_rules([ROOT / "rules"], installed=False)
    return as_screens([review_facts(facts, Path(f"{name}.design.yaml"), rules)])


def between(text: str, marks: tuple[str, str], made: str) -> str:
    """A text with what stands between two marks replaced."""
    before, _, rest = text.partition(marks[0])
    return before + marks[0] + made + marks[1] + rest.partition(marks[1])[2]


def first_review() -> str:
    """The README's first design, and the first screen of its review."""
    path = ROOT / "examples" / "first.design.yaml"
    shown = as_screens([example_review(path)], 96).rstrip()
    blocks = (
        path.read_text(encoding="utf-8").rstrip(),
        f"$ reviewer review {path.relative_to(ROOT)}\n{shown}",
    )
    return (
        "\n"
        + "\n\n".join("\n".join(f"    {line}".rstrip() for line in block.split("\n")) for block in blocks)
        + "\n\n"
    )


#: published figures that were read and that no rule uses, and why
LEFT_OUT = """
## Read and left out

| figures | why |
| --- | --- |
| AC 43.13-1B figure 11-4a, 14 AWG at 47 A in free air | one point of a curve; nothing can be read between points that are not there. Wires are judged by Table 11-9 |
| AC 43.13-1B altitude figure, 0.91 at 20 000 ft | one point of a curve; the altitude of Table 11-9, 60 000 ft, is kept, which is on the low side |
| Wire in a bundle in vacuum (20 AWG at 3.7 A), and 12 AWG at 25 A alone and 11.5 A in a bundle of 8 | for spacecraft, without air; the second as somebody restates it in a question |
| Loading factors of a connector family (0.114 to 1 by wire and contacts loaded) | of one maker's contacts, from a single 18 AWG contact down; another family is not to be judged by them. A full connector is judged by common practice, and by `pin-rating` |
| Current of a contact of size 16 (22 A at most) | the row of 16 AWG in the table of contacts by wire |
| Volts lost in a starter circuit (0.5 V plus side, 0.3 V ground side, 0.8 V in all; 0.2 V each side; 0.1 V at a place; 0.3 V in a wire with its connectors) | from tester and car manuals, which differ, for batteries beside the engine: a battery in the tail loses more by design. The starter is judged by its own minimum and the heat of its cables |
| 28 V push-button switch, 7 A resistive and 4 A inductive, with gold contacts 1 A and 0.5 A (MIL-PRF-22885/71C) | one switch; a test holds that Table 11-4 allows no more than it prints |
| AC 43.13-1B 11-187c, 1 ohm for a static bond | static bonds are not drawn in a power system |
| Temperature factor of aluminium (238.1 + T) / 258.1 | that of copper differs by less than 1 % up to 200 C; a test holds it |
"""


def figures_readme() -> str:
    """The README of the tables: each published figure and what its transcription rests on."""
    origins = [t.origin for t in all_tables()]
    rows = [
        f"| `{o.key}` | {o.title} | {o.clause} | {o.status}{'; ' if o.note else ''}{o.note} |\n"
        for o in origins
    ]
    return (
        "# Published figures and common practice\n\n"
        "A figure has its source, clause, edition, status, unit, range and basis beside it. *Verified*: read in\n"
        "the source's own text, or a public transcription of it. *Secondary*: read in a text that restates it.\n"
        "*Memory*: found in no text; every sentence that names it says so, and no test asserts it. *Practice*:\n"
        "common practice (no published source). A look-up outside the range refuses.\n\n"
        "This page is made by `python -m tests.write_committed`.\n\n"
        "| data | figures | clause | status |\n| --- | --- | --- | --- |\n" + "".join(rows) + LEFT_OUT
    )


def rules_readme() -> str:
    """The README of the rules: each with the property it asks for and its class, by chapter."""
    rules = load_rules([ROOT / "rules"], installed=False)
    text = (
        f"# The {len(rules)} rules\n\n"
        "One rule a file, named for the property that a good design has. `reviewer explain NAME` prints\n"
        "the page of a rule: why it matters, how it is judged, what it does not cover, its references, and\n"
        "what satisfies it. The class is that of the rule; where a finding concerns a declared function,\n"
        "the hazard class of losing that function may replace it.\n\n"
        "This page is made by `python -m tests.write_committed`.\n"
    )
    by_chapter: dict[str, list[Rule]] = {chapter: [] for chapter in CHAPTERS}
    for rule in rules:
        by_chapter[Path(rule.path).parent.name].append(rule)
    for chapter, found in by_chapter.items():
        rows = "".join(f"| `{r.name}` | {r.title} | {r.hazard.word} |\n" for r in found)
        text += f"\n## {chapter.capitalize()}\n\n{CHAPTERS[chapter]}\n\n"
        text += f"| rule | the property it asks for | class |\n| --- | --- | --- |\n{rows}"
    return text


def _screen(path: Path) -> str:
    return as_screens([example_review(path)])


if __name__ == "__main__":
    FAULTED.write_text(faulted_text(), encoding="utf-8")  # before its review is made
    screens = {
        path.with_name(path.name.replace(".design.yaml", ".review.txt")): partial(_screen, path)
        for path in AIRCRAFT
    }
    for path, make in (committed() | screens).items():
        path.write_text(make(), encoding="utf-8")
        print(path.relative_to(ROOT))
