"""Writes what is committed and compared: schemas, the examples' reviews, the README's table of rules.

Run ``python -m tests.write_committed`` after a change that is meant to alter them, and read the difference before committing it.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from reviewer.model.review import Review
from reviewer.reading.schema import design_schema
from reviewer.reports.data import as_json
from reviewer.reports.effects_schema import effects_schema
from reviewer.reports.review_schema import review_schema
from reviewer.reports.text import as_text
from reviewer.rulebook.shelf import load_rules
from reviewer.session import review_file

ROOT = Path(__file__).parent.parent
EXAMPLES = sorted((ROOT / "examples").glob("*.design.yaml"))
MARKS = ("<!-- rules -->\n", "<!-- end of rules -->\n")


def pretty(schema: dict[str, Any]) -> str:
    """A schema as it is committed."""
    return json.dumps(schema, indent=2, ensure_ascii=False) + "\n"


def example_review(path: Path) -> Review:
    """The review of an example, named as from the checkout's folder."""
    from dataclasses import replace

    rules = load_rules([ROOT / "rules"], installed=False)
    return replace(review_file(path, rules), file=path.relative_to(ROOT).as_posix())


def committed() -> dict[Path, str]:
    """Every committed file that is made, with the text that it should have."""
    schemas = {"design": design_schema(), "review": review_schema(), "effects": effects_schema()}
    made = {ROOT / "schemas" / f"{name}.schema.json": pretty(schema) for name, schema in schemas.items()}
    for path in EXAMPLES:
        review = example_review(path)
        stem = path.name.removesuffix(".design.yaml")
        made[path.with_name(f"{stem}.review.txt")] = as_text([review])
        made[path.with_name(f"{stem}.review.json")] = as_json([review])
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    before, _, rest = readme.partition(MARKS[0])
    made[ROOT / "README.md"] = before + MARKS[0] + rule_table() + MARKS[1] + rest.partition(MARKS[1])[2]
    return made


def rule_table() -> str:
    """The README's table of rules."""
    rows = [f"| `{r.name}` | {r.title} | {r.hazard.word} |\n" for r in load_rules([ROOT / "rules"], installed=False)]
    return "\n| rule | the property it asks for | class |\n| --- | --- | --- |\n" + "".join(rows) + "\n"


if __name__ == "__main__":
    for path, text in committed().items():
        path.write_text(text, encoding="utf-8")
        print(path.relative_to(ROOT))
