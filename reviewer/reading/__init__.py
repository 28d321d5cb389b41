"""The only way in: a design file -> a Design, or every problem in it with its place."""

from reviewer.reading.problem import Problem, Unreadable
from reviewer.reading.reader import read_design, read_text

__all__ = ["Problem", "Unreadable", "read_design", "read_text"]
