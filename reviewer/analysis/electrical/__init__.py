"""The operating point: volts and amperes of the same network that the logic walks.

``circuit`` what is solved, ``build`` a design and a lane -> a circuit, ``reduce`` and ``newton`` how, ``points`` and ``reading`` what comes out. Nothing here
imports numpy until a circuit is solved.
"""
