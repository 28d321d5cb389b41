"""The JSON Schemas (draft 2020-12) of the documents that the commands write, made from their types."""

from __future__ import annotations

from typing import Any

from pydantic import TypeAdapter

from reviewer.reports.documents.budget_document import BudgetDocument
from reviewer.reports.documents.checklists_document import ChecklistsDocument
from reviewer.reports.documents.comparison_document import ComparisonDocument
from reviewer.reports.documents.diagnosis_document import DiagnosisDocument
from reviewer.reports.documents.effects_document import EffectsDocument
from reviewer.reports.documents.graph_document import GraphDocument
from reviewer.reports.documents.handoff_document import HandoffDocument
from reviewer.reports.documents.operating_points_document import OperatingPointsDocument
from reviewer.reports.documents.review_document import ReviewDocument
from reviewer.reports.documents.wires_document import WiresDocument

#: the document of each name that ``reviewer schema`` knows; that of a design file is made elsewhere
DOCUMENTS: dict[str, Any] = {
    "review": ReviewDocument,
    "effects": EffectsDocument,
    "operating-points": OperatingPointsDocument,
    "wires": WiresDocument,
    "budget": BudgetDocument,
    "comparison": ComparisonDocument,
    "graph": GraphDocument,
    "handoff": HandoffDocument,
    "diagnosis": DiagnosisDocument,
    "checklists": ChecklistsDocument,
}


def document_schema(name: str) -> dict[str, Any]:
    """The schema of a document, version 1; every key has a title and a description."""
    schema = TypeAdapter(DOCUMENTS[name]).json_schema(mode="serialization")
    for part in (schema, *schema["$defs"].values()):
        for key, entry in part["properties"].items():
            entry.setdefault("title", key.replace("_", " ").title())
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": f"urn:circuit-reviewer:{name}:1",
        **schema,
    }
