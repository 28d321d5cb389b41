"""The only way in: a design file -> a Design, or every problem in it with its place."""

from reviewer.reading.build import read_design, read_text
from reviewer.reading.problem import Problem, Unreadable

__all__ = ["Problem", "Unreadable", "read_design", "read_text"]
