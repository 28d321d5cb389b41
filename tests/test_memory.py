"""A large design takes no more memory than was measured, with room to spare: what was solved is let go of."""

from __future__ import annotations

import gc
import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from reviewer.analysis.conduction.fixed_point import conduct
from reviewer.analysis.conduction.states import function_masks
from reviewer.analysis.facts import Facts
from reviewer.reading import read_text
from reviewer.rulebook.loader import load_rules
from reviewer.rulebook.runner import run_rules
from tests.oracle.generator import realistic
from tests.oracle.sound import sound_data
from tests.rule_cases import ROOT

#: a page of 500 parts takes 310 MB; 502 MB, when all pairs that were solved stayed in memory
MOST_MB = 390
#: runs the command and says on standard error how much memory the process has had at most, in kB; what
#: getrusage has counts the process that started it
RUN = """
import sys
from reviewer.cli.main import run
status = run()
(most,) = (line for line in open("/proc/self/status") if line.startswith("VmHWM:"))
print(most.split()[1], file=sys.stderr)
sys.exit(status)
"""


def test_what_functions_are_solved_from_is_let_go_of() -> None:
    """Without a collection of cycles, as in a command."""
    facts = Facts(read_text((ROOT / "examples" / "tourer.design.yaml").read_text(encoding="utf-8"), "tourer"))
    answer = facts.states.answers()[0]
    gc.disable()
    try:
        powered = conduct(answer.network, answer.state, answer.failures, answer.healthy).powered
        before = sys.getrefcount(powered)
        assert any(function_masks(answer.design, powered, (1 << len(answer.failures)) - 1).values())
        assert sys.getrefcount(powered) == before
    finally:
        gc.enable()


def test_a_repaired_network_is_let_go_of_after_its_trial() -> None:
    """All rules have judged it, with findings and gaps; without a collection of cycles, as in a command."""
    generated: dict[str, Any] = {}
    realistic(60, 2, dress=generated.update)
    design = read_text(json.dumps(generated), "unsound.json")
    rules = load_rules([ROOT / "rules"])
    gc.collect()
    gc.disable()
    try:
        with Facts(design) as facts:
            done, _ = run_rules(rules, facts)
            assert any(one.findings for one in done) and any(one.gaps for one in done)
            kept = len(facts.network.links)
        # what is left over holds no network
        assert gc.collect() < 1000 < 5 * kept
        assert facts.network.links  # asked again it is made again
    finally:
        gc.enable()


@pytest.mark.long
@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="memory is read from /proc")
def test_the_page_of_a_large_design_takes_little_memory(tmp_path: Path) -> None:
    file = tmp_path / "large.json"
    file.write_text(json.dumps(sound_data(500, 0)), encoding="utf-8")
    command = [sys.executable, "-c", RUN, "report", str(file), "--out", str(tmp_path / "page.html")]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    assert int(done.stderr.split()[-1]) / 1024 < MOST_MB, done.stderr
    assert (tmp_path / "page.html").stat().st_size > 1_000_000
