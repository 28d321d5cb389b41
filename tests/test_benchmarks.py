"""The benchmarks run: what they print is judged by a person, on demand; here only that each side answers."""

import re
import shutil

import pytest

from tests.benchmarks.solver_speed import against_ngspice


def test_solver_and_ngspice_agree_on_the_points_of_the_benchmark(capsys: pytest.CaptureFixture[str]) -> None:
    against_ngspice(60, 471, 12, 2, 0.0)
    said = capsys.readouterr().out
    assert re.search(r"0 not found, \d+ rounds", said)
    if shutil.which("ngspice") is None:
        assert "ngspice is not installed: no ratio" in said
        return
    apart = re.search(r"largest difference ([\d.]+) mV", said)
    assert apart, said
    assert float(apart[1]) < 2.0
    assert "ratio" in said
