"""Mutants of the sound designs: decide what each is, or review them and print the score.

python -m tests.mutants decide      write tests/mutants/decided.yaml; takes some minutes
python -m tests.mutants run         review every mutant that is decided; takes some minutes
python -m tests.mutants run NAME    review those whose name begins so, and print what was found
python -m tests.mutants check       review every mutant; exit status 1 where more is wrong than is known
"""

from __future__ import annotations

import sys
from collections import Counter

from tests.mutants.decide import decide_all, write
from tests.mutants.known import better, worse
from tests.mutants.score import decided_of, judged, review_all, scores, table
from tests.mutants.verdict import YES


def main(arguments: list[str]) -> int:
    """Do what the arguments ask for."""
    if arguments == ["decide"]:
        verdicts = decide_all()
        write(verdicts)
        print(dict(Counter(v.defect for v in verdicts.values())))
        return 0
    if arguments == ["check"]:
        return _check()
    if arguments[:1] == ["run"] and len(arguments) <= 2:
        _run(*arguments[1:])
        return 0
    print(__doc__)
    return 2


def _check() -> int:
    reviews = review_all(judged())
    print(table(scores(reviews)))
    print(*(f"now right, take it out of known.yaml: {key}" for key in better(reviews)), sep="\n")
    found = worse(reviews)
    print(*found, sep="\n")
    return 1 if found else 0


def _run(begins: str = "") -> None:
    reviews = review_all([key for key in judged() if key.startswith(begins)], whole=bool(begins))
    found = scores(reviews)
    for one in reviews:
        if decided_of(one.key).defect == YES and (begins or not one.caught):
            print(f"{'caught' if one.caught else 'MISSED'} {one.key}: {decided_of(one.key).why}")
        elif one.new and decided_of(one.key).defect != YES:
            print(f"FALSE  {one.key}: {decided_of(one.key).why}")
        elif not begins:
            continue
        print(*(f"         {line}" for line in one.new), sep="\n")
    print(table(found))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
