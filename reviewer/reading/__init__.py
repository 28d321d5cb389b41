"""The only way in: a design file -> a Design, or every problem in it with its place."""

from reviewer.reading.design_file import DesignFile, names_of, read_file
from reviewer.reading.problem import Problem, Unreadable
from reviewer.reading.reader import design_of, read_design, read_text

__all__ = [
    "DesignFile",
    "Problem",
    "Unreadable",
    "design_of",
    "names_of",
    "read_design",
    "read_file",
    "read_text",
]
