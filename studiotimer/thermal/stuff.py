"""A plate in plain numbers; numpy is not wanted for it, so that the window opens without."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Stuff:
    """What a plate is made of: its name, conductivity [W/(m K)], density [kg/m³], heat capacity [J/(kg K)]."""

    name: str
    k: float
    density: float
    heat: float


@dataclass(frozen=True, slots=True)
class Plate:
    """A plate: its stuff, thickness [m], and the temperature [°C] it has when a scoop is put on it."""

    stuff: Stuff
    thickness_m: float
    at_c: float
