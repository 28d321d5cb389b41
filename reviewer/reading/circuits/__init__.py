"""Circuits as paths: one line of a file is one path of the drawing, from source to ground.

    circuits:
      nav-radio: main-bus + breaker 5 A NAV > 20 AWG 1.2 m > radio (1.2 A) > 20 AWG 1 m > ground

``grammar`` says what may be written, ``kinds_in_line`` what a part in a line has, ``lowering`` what
becomes of it: the same parts and wires as in the long form, each at its place in the line.
``expand`` writes that long form into the file.
"""
