"""The electrical load analysis as comma-separated values (RFC 4180) and as versioned JSON."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Final

from reviewer.model.design import Design
from reviewer.model.quantity_words import tabled
from reviewer.network.graph import bare
from reviewer.questions.budget import (
    BatteryEndurance,
    Budget,
    Drain,
    EstimatedFigure,
    FunctionEndurance,
    LoadOfPhase,
    Moment,
    ShedStep,
    TimelineEntry,
)
from reviewer.reports.budget import words as words
from reviewer.reports.csv import csv_of
from reviewer.reports.documents.budget_document import (
    AlternatorEntry,
    BudgetDocument,
    DischargePoint,
    DrainEntry,
    EnduranceEntry,
    EstimatedEntry,
    FunctionEntry,
    PhaseEntry,
    ShedEntry,
    TimelineLine,
)
from reviewer.reports.review.json import beginning, dumped

FORMAT: Final = "circuit-budget/1"


def budget_csv(design: Design, budget: Budget) -> str:
    """One number in each row under :data:`reviewer.reports.budget.words.COLUMNS`."""
    return csv_of(words.COLUMNS, words.rows(budget))


def budget_json(file: str, design: Design, budget: Budget) -> str:
    """The whole analysis; ``schemas/budget.schema.json`` describes it.

    An unlimited time is null.
    """
    document: BudgetDocument = {
        "format": FORMAT,
        **beginning(file, design),
        "phases": [_phase(load) for load in budget.phases],
        "endurance": [_endurance(lasting) for lasting in budget.lasting],
        "functions": [_function(one) for one in budget.functions],
        "shed_plan": [_shed(step) for step in budget.shed],
        "parasitic_drain": [_drain(one) for one in budget.drains],
        "estimates": list(budget.estimates),
        "within_the_estimates": [_estimated(one) for one in budget.estimated],
        "limitations": list(words.LIMITS),
        "typical_values": list(budget.typical),
        "missing_data": [{"what": what, "needs": needs} for what, needs in budget.gaps],
    }
    return dumped(document)


def _phase(load: LoadOfPhase) -> PhaseEntry:
    return {
        "phase": load.flown.phase,
        "state": load.flown.state,
        "use": load.use,
        "engine": load.engine,
        "seconds": load.seconds,
        "alternators": _alternators(load),
        "batteries": _amperes(load.batteries),
        "other_sources": _amperes(load.others),
        "loads": _amperes(load.loads),
        "coils": _amperes(load.coils),
        "fields": _amperes(load.fields),
        "inputs": _amperes(load.inputs),
        "across_sources": tabled(load.across, 4),
        "repeated": tabled(load.repeated, 4),
        "solved_as_ideal_joints": dict(load.unsized),
    }


def _alternators(load: LoadOfPhase) -> list[AlternatorEntry]:
    in_flight = load.use == "flight"
    return [
        {
            "alternator": one.name,
            "amperes": tabled(one.amperes, 4),
            "asked": tabled(one.asked, 4),
            "output": one.load.output_a,
            "continuous_share": tabled(one.load.share, 5),
            "continuous_share_limit": one.most if in_flight else None,
            "source": one.rests_on if in_flight else "",
            "ammeter": one.ammeter,
            "margin": tabled(one.spare, 4),
        }
        for one in load.alternators
    ]


def _amperes(values: Mapping[str, float]) -> dict[str, float]:
    return {name: tabled(amps, 4) for name, amps in values.items()}


def _seconds(value: float) -> float | None:
    return None if math.isinf(value) else tabled(value, 2)


def _endurance(lasting: BatteryEndurance) -> EnduranceEntry:
    found = lasting.found
    return {
        "battery": lasting.battery,
        "reserve": lasting.reserve,
        "lost": list(lasting.lost),
        "state": lasting.state,
        "phase": lasting.phase,
        "seconds": _seconds(lasting.seconds),
        "required_seconds": lasting.wanted,
        "ended_by": bare(found.ended_by) if found.ended_by else None,
        "ends": words.ends(lasting),
        "charging_volts": tabled(lasting.charging_v, 4),
        "initial_state_of_charge": tabled(lasting.begins, 5),
        "final_state_of_charge": tabled(found.charge, 5),
        "assumptions": {word: value for word, value in lasting.factors},
        "segments": [
            {
                "name": run.name,
                "seconds": _seconds(run.seconds),
                "amperes_at_start": tabled(run.first_a, 4),
                "amperes_at_end": tabled(run.last_a, 4),
                "state_of_charge": tabled(run.charge, 5),
            }
            for run in found.runs
        ],
        "curve": list(map(_moment, thinned(lasting))),
    }


def _function(one: FunctionEndurance) -> FunctionEntry:
    return {
        "function": one.function,
        "hazard": one.hazard,
        "lost": list(one.lost),
        "state": one.state,
        "phase": one.phase,
        "seconds": _seconds(one.seconds),
        "required_seconds": one.required,
        "noticed_by": one.noticed.monitor if one.noticed else None,
        "noticed_after_seconds": tabled(one.noticed.seconds, 2) if one.noticed else None,
        "seconds_without_crew": _seconds(one.unattended),
        "seconds_with_all_crew_actions": _seconds(one.attended),
        "timeline": [_line(entry, one.function) for entry in one.timeline],
    }


def _line(entry: TimelineEntry, function: str) -> TimelineLine:
    return {
        "seconds": tabled(entry.seconds, 2),
        "event": entry.event.value,
        "what": entry.what,
        "words": words.timeline_event(entry, function),
        "action_seconds": entry.takes,
        "lost_without_it_seconds": None if entry.without is None else _seconds(entry.without),
    }


def _moment(moment: Moment) -> DischargePoint:
    return {
        "seconds": _seconds(moment.seconds),
        "state_of_charge": tabled(moment.charge, 5),
        "volts": tabled(moment.volts, 4),
        "amperes": tabled(moment.amperes, 4),
    }


def thinned(lasting: BatteryEndurance, most: int = 60) -> list[Moment]:
    """Moments of the curve, no more than ``most``, the first and the last among them."""
    curve = lasting.found.curve
    step = max(1, math.ceil((len(curve) - 1) / (most - 1)))
    return [*curve[:-1:step], curve[-1]]


def _shed(step: ShedStep) -> ShedEntry:
    return {
        "action": step.action,
        "done_after_seconds": tabled(step.at, 2),
        "off": {name: tabled(amps, 4) for name, amps in step.loads},
        "main_battery_before": tabled(step.before_a, 4),
        "main_battery_after": tabled(step.after_a, 4),
    }


def _estimated(one: EstimatedFigure) -> EstimatedEntry:
    value, least, most = (
        None if math.isinf(number) else tabled(number, 3) for number in (one.value, one.low, one.high)
    )
    return {
        "what": one.what,
        "value": value,
        "least": least,
        "most": most,
        "unit": one.unit,
        "required": one.required,
        "decided_by_estimates": one.decides,
    }


def _drain(one: Drain) -> DrainEntry:
    return {
        "battery": one.battery,
        "state": one.state,
        "amperes": [tabled(a, 7) for a in one.amperes],
        "days_to_half": [None if math.isinf(d) else tabled(d, 2) for d in one.days],
        "draws": [
            {
                "what": draw.what,
                "minimum": tabled(draw.low, 7),
                "maximum": tabled(draw.high, 7),
                "needs": draw.key,
            }
            for draw in one.draws
        ],
    }
