"""Limits of drop, switches and supply: AC 43.13-1B Tables 11-6 and 11-4, 11-53g, 11-35a;
FAA-H-8083-32; FAA-H-8083-29."""

from __future__ import annotations

from functools import cache

from reviewer.tables.lookup import OutsideTable, SourcedFigure, table

#: nominal voltage of a design -> row of Table 11-6, and of Table 11-4, which prints 28 V and 12 V
_DROP_ROW = {"14 V": "14", "28 V": "28", "115 V": "115", "200 V": "200"}
_SWITCH_ROW = {"14 V": "12", "28 V": "28"}
#: load types of a design -> column of Table 11-4. A heater is a resistance and a starter a motor;
#: that an electronic load with limited inrush counts as resistive is common practice (no published source)
_SWITCH_COLUMN = {
    "lamp": "lamp",
    "inductive": "inductive",
    "resistive": "resistive",
    "heater": "resistive",
    "electronic": "resistive",
    "motor": "motor",
    "starter": "motor",
}


def allowed_drop(nominal: str, duty: str) -> SourcedFigure:
    """Allowed drop in volts: Table 11-6, ``nominal`` as in a design (``"14 V"``), ``duty``
    ``"continuous"`` or ``"intermittent"`` (from memory). Raises :class:`OutsideTable`."""
    if duty not in ("continuous", "intermittent"):
        raise OutsideTable(f"AC 43.13-1B Table 11-6 has no column for {duty} duty")
    return table("voltage_drop", duty).at(_DROP_ROW.get(nominal, nominal))


def structure_return_ohms() -> SourcedFigure:
    """Resistance from a source's ground point to an equipment's, in ohm, up to which a return
    through structure is satisfactory."""
    return table("voltage_drop", "structure_return").at("most")


def feeder_share() -> SourcedFigure:
    """Share of the regulated voltage that main power wires from a source to the bus may lose."""
    return table("voltage_drop", "source_feeder").at("most")


def bond_limit(what: str) -> SourcedFigure:
    """Ohms that a ``"frame"`` may have to structure, or a ``"connection"``, one end of a bonding
    jumper. Raises :class:`OutsideTable` for anything else."""
    return table("bonding", "limits").at(what)


@cache
def switch_factor(nominal: str, load_type: str) -> SourcedFigure:
    """Factor of Table 11-4 on the continuous current of a load; ``read_as`` names the column where
    it is not the load's own type.

    Raises :class:`OutsideTable` for a nominal voltage or a type of load that is not printed.
    """
    column = _SWITCH_COLUMN.get(load_type)
    if column is None:
        raise OutsideTable(f"AC 43.13-1B Table 11-4 has no column for a load of type `{load_type}`")
    return table("switch_factors", "derating").at(
        _SWITCH_ROW.get(nominal, nominal), column, None if column == load_type else column
    )


def silver_contact_least() -> tuple[SourcedFigure, SourcedFigure]:
    """Volts and amperes below which silver contacts are unsuited unless they are rated for it,
    11-53g."""
    low = table("switch_factors", "low_energy")
    return low.at("least", "volts"), low.at("least", "amperes")


def alternator_share() -> SourcedFigure:
    """Share of an alternator's rated output that the continuous load may take, 11-35a."""
    return table("load_limits", "alternator").at("most")


def longest_cranking() -> SourcedFigure:
    """Seconds for which a starter is used at once, at most, where its maker does not say."""
    return table("load_limits", "cranking").at("most")
