"""What is committed is what the code makes: schemas, the examples' reviews, the README's table; and what each example shows."""

from __future__ import annotations

import re
from pathlib import Path

import jsonschema
import pytest
import yaml
from click.testing import CliRunner

from reviewer.cli.main import commands
from reviewer.model.review import Outcome
from reviewer.reports.wording import SHORT_CAUTION
from tests.write_committed import EXAMPLES, GENERATED, ROOT, committed, example_review

MADE = committed()


#: half a second each and more, the first ten seconds
SLOW = {
    "generated-500.review.txt",
    "ask.txt",
    "checklists.csv",
    "compare.txt",
    "diagnose-reads.txt",
    "review-cause.txt",
    "review-missing.txt",
}


@pytest.mark.parametrize(
    "path",
    [pytest.param(p, id=p.name, marks=[pytest.mark.long] if p.name in SLOW else []) for p in MADE],
)
def test_the_committed_file_is_current(path: Path) -> None:
    assert path.read_text(encoding="utf-8") == MADE[path](), (
        "run `python -m tests.write_committed` and read the difference"
    )


def test_no_committed_answer_is_left_that_nothing_makes() -> None:
    there = {p for p in (ROOT / "tests" / "answers").iterdir() if p.suffix in {".txt", ".csv"}}
    assert there <= set(MADE)


@pytest.mark.parametrize("name", GENERATED)
def test_the_screen_of_a_generated_design_fits_and_ends_in_the_caution(name: str) -> None:
    screen = (ROOT / "tests" / "reports" / f"{name}.review.txt").read_text(encoding="utf-8").splitlines()
    assert len(screen) <= 40 and max(map(len, screen)) <= 100
    assert " ".join(screen).endswith(SHORT_CAUTION)
    assert all(line.count("(") == line.count(")") for line in screen if re.match("[A-Z]{2}", line))


def test_the_sound_aircraft_has_no_finding_and_nothing_left_unassessed() -> None:
    review = example_review(ROOT / "examples" / "tourer.design.yaml")
    assert (review.findings, review.gaps, review.breakdowns) == ((), (), ())
    assert {a.outcome for a in review.assessments} <= {Outcome.MET, Outcome.NOT_APPLICABLE}
    assert {a.rule for a in review.assessments if a.outcome is Outcome.NOT_APPLICABLE} == {
        # it has no change-over switch
        "changeover-switches-feed-their-load-in-every-position",
        "no-switch-position-puts-all-channels-on-one-source",
        "normal-switch-positions-survive-the-most-failures",
        # no socket for outside power, no stud, no relay that restores a bus, nothing that the crew would have to bring back
        "external-power-is-protected-and-polarity-guarded",
        "external-power-charges-every-battery",
        "stud-nuts-are-locked",
        "relays-pick-up-without-the-bus-they-restore",
        "critical-functions-are-recovered-quickly",
        # it has no resistors and no capacitors
        "capacitors-are-across-their-source-the-right-way-round",
        "resistors-are-within-their-power",
        # it has no heater with a lamp or for instrument flight, no breaker inside a unit and no pairs of wires
        "electronic-breakers-have-their-supply-while-fed",
        "heaters-show-that-they-are-off",
        "pitot-heaters-have-an-annunciator",
        "pairs-run-together",
        # it has no switch that a stall works
        "stall-warnings-work-in-every-flight-state",
        # it has one alternator
        "alternators-that-share-the-load-both-give-current",
        "no-single-failure-stops-every-alternator",
        "standby-alternators-wait-and-take-over",
        # it has no magnetos
        "hot-magnetos-show-in-a-check",
        "magnetos-are-grounded-without-circuit-protection",
        "p-leads-are-fed-by-no-source",
        "p-leads-share-no-ground-lead-with-a-load",
        "magnetos-declared-silent-are-grounded",
        "magnetos-fire-in-normal-flight",
        # its batteries are lead-acid, without a management circuit; no coil takes more to pull in
        "low-voltage-alarms-come-before-the-battery-disconnects",
        "lithium-batteries-can-supply-the-starter-current",
        "batteries-stay-connected-until-the-overvoltage-trip",
        "batteries-stay-connected-while-cranking",
        # every channel has its own battery behind it; no relays reverse a motor
        "critical-channels-meet-endurance-after-alternator-loss",
        "reversing-relays-are-not-energised-together",
        # its regulator is said with its alternator, without leads of its own
        "lost-regulator-leads-end-in-a-trip",
        "regulators-feed-their-own-alternator",
        "what-a-regulator-senses-is-live-with-its-field",
        # its overvoltage trip is inside, not drawn
        "overvoltage-relays-can-trip",
        # it has no generator
        "generators-have-a-reverse-current-cut-out",
        # its over-voltage trip opens the field and shorts nothing
        "crowbars-trip-the-field-breaker-alone",
        "fuses-withstand-coil-pickup-current",
        # no unit of it drives coils or injectors that are drawn
        "pulsed-coils-are-driven-by-their-unit",
    }
    assert 60 <= review.parts <= 150


def test_the_sketch_leaves_much_unassessed_and_has_no_finding() -> None:
    review = example_review(ROOT / "examples" / "sketch.design.yaml")
    assert (review.stage, review.findings) == ("concept", ())
    assert len(review.gaps) > 10


@pytest.mark.parametrize(
    "path", [*EXAMPLES, *sorted((ROOT / "reviewer").glob("*.design.yaml"))], ids=lambda p: p.name
)
def test_the_design_schema_accepts_what_the_reader_accepts(path: Path) -> None:
    import json

    schema = json.loads((ROOT / "schemas" / "design.schema.json").read_text(encoding="utf-8"))
    validator = jsonschema.Draft202012Validator(schema)
    assert [e.message for e in validator.iter_errors(yaml.safe_load(path.read_text(encoding="utf-8")))] == []


@pytest.mark.parametrize(
    "name", sorted(p.name.removesuffix(".schema.json") for p in (ROOT / "schemas").iterdir())
)
def test_a_schema_is_valid_itself_and_explains_every_key(name: str) -> None:
    import json

    schema = json.loads((ROOT / "schemas" / f"{name}.schema.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator.check_schema(schema)
    bare: list[str] = []
    wanted = {"title", "description", "examples"} if name == "design" else {"title", "description"}

    def walk(value: object, at: str) -> None:
        if isinstance(value, dict):
            if not at.endswith("/if"):
                for key, entry in (value.get("properties") or {}).items():
                    if isinstance(entry, dict) and not wanted <= entry.keys() and "$ref" not in entry:
                        bare.append(f"{at}/{key}")
            for key, entry in value.items():
                walk(entry, f"{at}/{key}")
        elif isinstance(value, list):
            for i, entry in enumerate(value):
                walk(entry, f"{at}/{i}")

    walk(schema, "")
    assert bare == []
    assert json.loads(CliRunner().invoke(commands, ["schema", name]).stdout) == schema
    assert "oneOf" not in json.dumps(schema)
