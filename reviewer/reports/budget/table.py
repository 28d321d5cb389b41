"""The load budget as comma-separated values (RFC 4180), for a spreadsheet, and as versioned JSON, for other programs."""

from __future__ import annotations

import math
from typing import Any

from reviewer.analysis.endurance.battery_endurance import Lasting
from reviewer.analysis.endurance.phase_loads import PhaseLoad
from reviewer.analysis.endurance.storage_drain import Drain
from reviewer.model.design import Design
from reviewer.network.graph import bare
from reviewer.questions.budget import Budget, ShedStep
from reviewer.reports.budget import words as words
from reviewer.reports.csv import csv_of
from reviewer.reports.review.json import beginning, dumped
from reviewer.reports.wording import shown

FORMAT = "circuit-budget/1"


def budget_csv(budget: Budget) -> str:
    """One number a row under :data:`reviewer.reports.budget.words.COLUMNS`. A cell that a spreadsheet would take for a formula begins with an apostrophe."""
    return csv_of(
        words.COLUMNS,
        ([shown(cell) if isinstance(cell, str) else cell for cell in row] for row in words.rows(budget)),
    )


def budget_json(file: str, design: Design, budget: Budget) -> str:
    """The whole budget; ``schemas/budget.schema.json`` describes it. A time without end is null."""
    return dumped(
        {
            **beginning(FORMAT, file, design),
            "phases": [_phase(load) for load in budget.phases],
            "endurance": [_lasting(lasting) for lasting in budget.lasting],
            "shed_plan": [_step(step) for step in budget.shed],
            "hangar": [_drain(one) for one in budget.drains],
            "limits": list(words.LIMITS),
            "typical_values": list(budget.typical),
            "not_assessed": [{"what": what, "needs": needs} for what, needs in budget.gaps],
        }
    )


def _phase(load: PhaseLoad) -> dict[str, Any]:
    return {
        "phase": load.flown.phase,
        "state": load.flown.state,
        "use": load.use,
        "engine": load.engine,
        "seconds": load.seconds,
        "alternators": [
            {
                "alternator": one.name,
                "amperes": round(one.amperes, 4),
                "output": one.load.output_a,
                "continuous_share": round(one.load.share, 5),
                "share_most": one.most if load.use == "flight" else None,
                "rests_on": one.rests_on if load.use == "flight" else "",
                "ammeter": one.ammeter,
                "spare": round(one.spare, 4),
            }
            for one in load.alternators
        ],
        "batteries": _amperes(load.batteries),
        "loads": _amperes(load.loads),
        "coils": _amperes(load.coils),
        "solved_as_ideal_joints": dict(load.unsized),
    }


def _amperes(values) -> dict[str, float]:
    return {name: round(amps, 4) for name, amps in values.items()}


def _seconds(value: float) -> float | None:
    return None if math.isinf(value) else round(value, 2)


def _lasting(lasting: Lasting) -> dict[str, Any]:
    found = lasting.found
    return {
        "battery": lasting.battery,
        "reserve": lasting.reserve,
        "lost": list(lasting.lost),
        "state": lasting.state,
        "phase": lasting.phase,
        "seconds": _seconds(lasting.seconds),
        "wanted_seconds": lasting.wanted,
        "ended_by": bare(found.ended_by) if found.ended_by else None,
        "ends": words.ends(lasting),
        "charging_volts": round(lasting.charging_v, 4),
        "begins_with": round(lasting.begins, 5),
        "left_unused": round(found.charge, 5),
        "factors": {word: value for word, value in lasting.factors},
        "stretches": [
            {
                "name": run.name,
                "seconds": _seconds(run.seconds),
                "amperes_at_first": round(run.first_a, 4),
                "amperes_at_the_end": round(run.last_a, 4),
                "charge_left": round(run.charge, 5),
            }
            for run in found.runs
        ],
        "curve": [
            {
                "seconds": _seconds(m.seconds),
                "charge": round(m.charge, 5),
                "volts": round(m.volts, 4),
                "amperes": round(m.amperes, 4),
            }
            for m in thinned(lasting)
        ],
    }


def thinned(lasting: Lasting, most: int = 60) -> list:
    """Moments of the curve, no more than ``most``, the first and the last among them."""
    curve = lasting.found.curve
    step = max(1, math.ceil((len(curve) - 1) / (most - 1)))
    return [*curve[:-1:step], curve[-1]]


def _step(step: ShedStep) -> dict[str, Any]:
    return {
        "action": step.action,
        "done_after_seconds": round(step.at, 2),
        "off": {name: round(amps, 4) for name, amps in step.loads},
        "main_battery_before": round(step.before_a, 4),
        "main_battery_after": round(step.after_a, 4),
    }


def _drain(one: Drain) -> dict[str, Any]:
    return {
        "battery": one.battery,
        "state": one.state,
        "amperes": [round(a, 7) for a in one.amperes],
        "days_to_half": [None if math.isinf(d) else round(d, 2) for d in one.days],
        "draws": [
            {"what": draw.what, "least": round(draw.low, 7), "most": round(draw.high, 7), "needs": draw.key}
            for draw in one.draws
        ],
    }
