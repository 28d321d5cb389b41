"""Edits of a design, made on the data of its file: those with which cases of rules are written too."""

from reviewer.rulebook.edits import REMOVE, EditError, Edits, edited, escaped, inverse, keys_of

__all__ = ["REMOVE", "EditError", "Edits", "edited", "escaped", "inverse", "keys_of"]
