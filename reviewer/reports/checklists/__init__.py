"""Checklists for indications, as text, table and cards to be printed."""
