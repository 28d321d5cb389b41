"""The command check. Arguments in, exit status out."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from reviewer import __version__
from reviewer.cli.output import (
    BROKEN,
    ENDINGS,
    FINDINGS,
    NOTHING,
    UNREADABLE,
    Progress,
    answer,
    fail,
    problems_of,
    rules_of,
    rules_print_aside,
    tell,
    with_rules_from,
)

if TYPE_CHECKING:
    from reviewer.cli.received_folder import ReceivedFolder
    from reviewer.reports.handoff.differences import Difference
    from reviewer.reports.handoff.solved import SolvedDesign

REVIEW = "review.json"
_STATUS = f"""\b
Exit status:
  0  no difference
  1  a file or an answer differs, or another version made the folder
  2  FOLDER is no handoff folder or cannot be read, or the design in it
     cannot be reviewed
  3  rule error: a rule failed or could not be loaded
{ENDINGS}
This is a second opinion. Local rules and licensed practice decide. A design
without findings can still be wrong."""


@click.command(epilog=_STATUS)
@click.argument("folder", type=click.Path(path_type=Path))
@with_rules_from
@click.pass_context
def check(context: click.Context, folder: Path, rules_from: tuple[Path, ...]) -> None:
    """Check a handoff FOLDER that you received: is it whole, and does its design give this review?

    Every file is compared with the manifest, the manifest and the review with their JSON Schemas, and
    all of it with a fresh review of the design in the folder. Nothing is written, and no link is
    followed.
    """
    from reviewer.cli.received_folder import NoPackage, received_folder, schema_mistakes
    from reviewer.reading import Unreadable
    from reviewer.reports.handoff.differences import Difference
    from reviewer.reports.handoff.received_text import received_text

    try:
        received = received_folder(folder)
    except NoPackage as error:
        fail(str(error), UNREADABLE)
    rules = rules_of(rules_from)
    found, status = list(received.differences), NOTHING
    review = _parsed(received.contents.get(REVIEW))
    if REVIEW in received.contents:
        mistakes = ["is no JSON"] if review is None else schema_mistakes(review, "review")
        found += [Difference(REVIEW, mistake) for mistake in mistakes]
        review = None if mistakes else review
    solved, trouble = None, ""
    if received.shaped:
        try:
            solved = _solved(folder, received, review, rules)
        except Unreadable as error:
            trouble, status = problems_of(error), UNREADABLE
    if solved is not None:
        changed = _changed_design(received, solved)
        found = [*changed, *found, *_compared(received, review, solved, bool(changed))]
        status = BROKEN if solved.review.breakdowns else NOTHING
    whole = received.manifest["reviewer"] == __version__ if received.shaped else False
    answer(received_text(folder.name or str(folder), received.manifest, found, solved is not None, whole))
    tell(trouble)
    context.exit(status or (FINDINGS if found else NOTHING))


def _solved(
    folder: Path, received: ReceivedFolder, review: Mapping[str, Any] | None, rules: Any
) -> SolvedDesign | None:
    """A fresh review of the design in the folder; None where no design was read. Raises Unreadable."""
    from reviewer.reading import DesignFile
    from reviewer.session import solved_again

    name = next((name for name in ("design.yaml", "design.json") if name in received.contents), None)
    if name is None:
        return None
    tried = review is None or any(one["estimates"]["tried"] for one in review["reviews"])
    file, progress = DesignFile(folder / name, received.contents[name]), Progress()
    called = received.manifest["design"]["file"]
    try:
        with rules_print_aside():
            return solved_again(
                file, called, rules, progress.of(file.path), progress.announce(file.path), tried
            )
    finally:
        progress.end()


def _changed_design(received: ReceivedFolder, solved: SolvedDesign) -> list[Difference]:
    """What it means that the design is not the one of the manifest; it comes first."""
    from reviewer.reports.handoff.differences import Difference

    made_of, now = received.manifest["design"]["sha256"], solved.file.sha256
    if made_of == now:
        return []
    said = f"not the design that the folder was made of: sha256 {now[:12]}, not {made_of[:12]}"
    return [Difference(solved.file.path.name, f"{said}. What follows may differ by that alone")]


def _compared(
    received: ReceivedFolder, review: Mapping[str, Any] | None, solved: SolvedDesign, changed: bool
) -> list[Difference]:
    """How the folder differs from what this reviewer makes of its design, ``changed`` or not."""
    from reviewer.reports.handoff.contents import MANIFEST, folder_files
    from reviewer.reports.handoff.differences import (
        Difference,
        file_differences,
        in_short,
        review_differences,
    )
    from reviewer.reports.review.json import as_json

    found = []
    made_by = received.manifest["reviewer"]
    if made_by != __version__:
        found.append(Difference(MANIFEST, f"made by reviewer {made_by}; this is reviewer {__version__}"))
    if review is not None:
        fresh = json.loads(as_json([solved.review]))
        found += [Difference(REVIEW, said) for said in review_differences(review, fresh)]
    if made_by == __version__:
        missing = (e["name"] for e in received.manifest["files"] if e["name"] not in received.contents)
        differing = list(file_differences(received.contents, folder_files(solved), {REVIEW, *missing}))
        found += in_short(differing) if changed else differing
    return found


def _parsed(content: bytes | None) -> Any:
    """A JSON document; None where there is none."""
    try:
        return None if content is None else json.loads(content)
    except (ValueError, RecursionError):
        return None
