"""The printed rows of each table of figures, by data file and section, transcribed a second time; the source stands above each.

Tables from memory and of common practice are not here: nothing published says them.
"""

from __future__ import annotations

PRINTED: dict[str, dict[str, tuple[float, ...]]] = {
    # AC 43.13-1B CHG 1 (9/27/01), Table 11-9, p. 11-23: amperes in the 105, 150 and 200 C columns, ohm per 1000 ft (tin), circular mil
    "copper_wire/aircraft": {
        "24": (2.5, 4, 5, 28.40, 475), "22": (3, 5, 6, 16.20, 755), "20": (4, 7, 9, 9.88, 1216), "18": (6, 9, 12, 6.23, 1900),
        "16": (7, 11, 14, 4.81, 2426), "14": (10, 14, 18, 3.06, 3831), "12": (13, 19, 25, 2.02, 5874), "10": (17, 26, 32, 1.26, 9354),
        "8": (38, 57, 71, 0.70, 16983), "6": (50, 76, 97, 0.44, 26818), "4": (68, 103, 133, 0.28, 42615), "2": (95, 141, 179, 0.18, 66500),
        "1": (113, 166, 210, 0.15, 81700), "0": (128, 192, 243, 0.12, 104500), "00": (147, 222, 285, 0.09, 133000),
        "000": (172, 262, 335, 0.07, 166500), "0000": (204, 310, 395, 0.06, 210900),
    },
    # IEC 60228:2004, Table 3 (class 5), metal-coated copper, ohm per km at 20 C; secondary: three texts that restate it agree
    "copper_wire/metric": {
        "0.5": (40.1,), "0.75": (26.7,), "1": (20.0,), "1.5": (13.7,), "2.5": (8.21,), "4": (5.09,), "6": (3.39,), "10": (1.95,), "16": (1.24,),
        "25": (0.795,), "35": (0.565,), "50": (0.393,), "70": (0.277,), "95": (0.210,), "120": (0.164,),
    },
    # AC 43.13-1B (9/8/98), Table 11-3, p. 11-15
    "wire_protection/breaker": {
        "22": (5,), "20": (7.5,), "18": (10,), "16": (15,), "14": (20,), "12": (30,), "10": (40,), "8": (50,), "6": (80,), "4": (100,), "2": (125,),
    },
    "wire_protection/fuse": {
        "22": (5,), "20": (5,), "18": (10,), "16": (10,), "14": (15,), "12": (20,), "10": (30,), "8": (50,), "6": (70,), "4": (70,), "2": (100,),
        "1": (150,), "0": (150,),
    },
    # AC 43.13-1B CHG 1, Table 11-6: voltages on p. 11-26, continuous limits in the examples on p. 11-22
    "voltage_drop/continuous": {"14": (0.5,), "28": (1,), "115": (4,), "200": (7,)},
    # FAA-H-8083-32 chapter 4, a text that restates it: see sources.toml
    "voltage_drop/structure_return": {"most": (0.005,)},
    # FAA-H-8083-31 chapter 9, a text that restates it: see sources.toml
    "voltage_drop/source_feeder": {"most": (0.02,)},
    # AC 43.13-1B (9/8/98), Table 11-4, p. 11-17, lamp, inductive, resistive, motor; and 11-53g
    "switch_factors/derating": {"28": (8, 4, 2, 3), "12": (5, 2, 1, 2)},
    "switch_factors/low_energy": {"least": (8, 0.5)},
    # AC 43.13-1B CHG 1, 11-35a, p. 11-12
    "load_limits/alternator": {"most": (0.8,)},
    # FAA-H-8083-29 chapter 5, a text that quotes it: see sources.toml
    "load_limits/cranking": {"most": (30,)},
    # Points of the MIL-W-5088L bundle figure, taken by a third party, 20 to 100 % of capacity; secondary
    "wire_derating/bundle": {
        "1": (1, 1, 1, 1, 1), "2": (.9675, .92, .91, .87, .825), "3": (.935, .855, .815, .77, .725), "4": (.9075, .805, .75, .705, .66),
        "5": (.875, .76, .695, .65, .61), "6": (.85, .725, .655, .605, .5725), "7": (.82, .695, .625, .57, .54),
        "8": (.795, .6675, .595, .5425, .5125), "9": (.775, .645, .575, .52, .485), "10": (.755, .6225, .55, .5, .465),
        "11": (.735, .6, .53, .48, .445), "12": (.715, .585, .515, .465, .43), "13": (.6975, .5675, .495, .4475, .415),
        "14": (.685, .5525, .48, .435, .3975), "15": (.67, .54, .465, .42, .385), "16": (.6575, .5275, .455, .41, .37),
        "17": (.645, .515, .4425, .3975, .36), "18": (.635, .505, .4325, .3875, .35), "19": (.625, .495, .4225, .38, .3425),
    },
    # A catalogue of contacts, Table 1, most current by wire; secondary to the standards that it names
    "contacts/by_wire": {
        "26": (3,), "24": (4.5,), "22": (9,), "20": (11,), "18": (16,), "16": (22,), "14": (32,),
    },
    # AC 43.13-1B (9/8/98), 11-188f, p. 11-74, and 11-189, p. 11-75, ohm
    "bonding/limits": {"frame": (0.0025,), "connection": (0.003,)},
    # Emergency power example of an avionics installation manual, p. 3-38: share, minutes, minutes; secondary
    "load_allowances/emergency_power": {"usable-share": (0.75,), "time-to-shed": (5,), "landing-load": (10,)},
    # NFPA 70 310.15(B): the root law; checked against the printed factors in test_ambient_correction.py
    "wire_derating/ambient": {"root": (0.5,)},
    # Open-circuit voltage of rested lead-acid batteries: rule of thumb of a mailing list, see sources.toml
    "battery_open_circuit_voltage/lead_acid": {"100": (12.6,), "75": (12.4,), "50": (12.2,), "25": (12.0,), "0": (11.6,)},
    # Chart at gridwright.com of four lithium iron phosphate cells; its 14.6 V at 100 % is an end-of-charge voltage and is left out
    "battery_open_circuit_voltage/lithium_iron_phosphate": {
        "99": (13.6,), "90": (13.4,), "70": (13.3,), "40": (13.2,), "30": (13.0,), "20": (12.8,), "10": (12.0,), "0": (10.0,),
    },
    # IEC 60949: K and beta of copper; IEC 60364-5-54: final temperatures, as GOST R 50571.5.54-2011 adopts them; both secondary
    "short_circuit/adiabatic": {"copper": (226, 234.5)},
    "short_circuit/final_temperature": {"pvc": (160,), "butyl-rubber": (220,), "xlpe-or-epr": (250,)},
    # UL 248-14, longest opening times; a text that restates it (up to 30 A)
    "opening_times/cartridge": {"1.35": (3600,), "2.0": (120,)},
    "opening_times/cartridge_rating": {"most": (30,)},
}  # fmt: skip
