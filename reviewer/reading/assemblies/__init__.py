"""Assemblies: named pieces of a drawing with parameters, drawn once and installed many times.

    assemblies:
      sense-lead:
        parameters: {from, to, length}
        circuits:
          $name: $from > 22 AWG 0.1 m > fuse 1 A (blade) > 22 AWG $length > $to
    installed:
      bus-volts: {assembly: sense-lead, from: main-bus, to: monitor.bus-volts, length: 1.3 m}

``definition`` reads what is drawn, ``fill`` puts the figures of one call into it, ``install`` makes
circuits, parts and wires of all calls, before ``circuits`` makes parts and wires of the paths.
``library`` has those that come with the reviewer. ``origin`` says in each mistake where it stands in
the assembly and where that is installed.
"""
