"""What wires, contacts, protective devices, batteries and alternators may carry: pure functions of
published figures, with frozen results.

Base units of the model: ampere, volt, ohm, metre, second, degree Celsius, ampere-hour. Every result
names the figures that it rests on.
"""
