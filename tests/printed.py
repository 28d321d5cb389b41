"""Pages and briefs of design files, each made once in a run of the tests."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from reviewer.analysis.facts import Facts
from reviewer.model.review import Review
from reviewer.reading import DesignFile, design_of, read_design, read_file
from reviewer.reports.page.brief import as_brief
from reviewer.reports.page.html import as_page
from reviewer.session import review_facts, solved_design, solved_file
from tests.once_a_run import once_a_run
from tests.write_committed import AIRCRAFT, EXAMPLES, example_review


def page_and_review(path: Path) -> tuple[str, Review]:
    """The page of a file by all rules, and the review on it."""

    def made() -> tuple[str, Review]:
        file = read_file(path)
        if path in (*EXAMPLES, *AIRCRAFT):  # reviewed for other tests as well
            review = replace(example_review(path), file=path.name)
            solved = solved_design(Facts(design_of(file)), review, file)
        else:
            solved = solved_file(path)
        return as_page(solved), solved.review

    return once_a_run(f"page and review {path} {DesignFile(path, path.read_bytes()).sha256}", made)


def page_and_brief(path: Path, facts: Facts) -> tuple[str, str]:
    """Of its load analysis and failure effects, made of one design that is solved once; no rule has a say in it."""
    file = DesignFile(path, path.read_bytes())

    def made() -> tuple[str, str]:
        review = replace(review_facts(facts, path, [], trials=False), file=path.name)
        solved = solved_design(facts, review, file, trials=False)
        return as_page(solved), as_brief(solved)

    return once_a_run(f"page and brief {path} {file.sha256}", made)


def brief_of(path: Path) -> tuple[str, str]:
    """The brief of a file, and the digest of the file, which stands on it."""
    file = DesignFile(path, path.read_bytes())
    return page_and_brief(path, Facts(read_design(path)))[1], file.sha256
