"""Reviews the design of a light aircraft's electrical system before a wire is cut."""

from __future__ import annotations

from typing import Any

__version__ = "0.1.0"
__all__ = [
    "Design",
    "Finding",
    "HazardClass",
    "Review",
    "ReviewedDesign",
    "Unreadable",
    "__version__",
    "read_design",
    "review",
    "review_file",
]

_HOMES = {
    "Design": "reviewer.model.design",
    "Finding": "reviewer.model.review",
    "HazardClass": "reviewer.model.review",
    "Review": "reviewer.model.review",
    "ReviewedDesign": "reviewer.reviewed_design",
    "Unreadable": "reviewer.reading",
    "read_design": "reviewer.reading",
    "review": "reviewer.reviewed_design",
    "review_file": "reviewer.session",
}


def __getattr__(name: str) -> Any:
    # late, so that `import reviewer` costs nothing
    if name in _HOMES:
        from importlib import import_module

        return getattr(import_module(_HOMES[name]), name)
    raise AttributeError(f"module 'reviewer' has no attribute {name!r}")
