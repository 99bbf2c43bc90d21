"""A plate in plain numbers; numpy is not wanted for it, so that the window opens without."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Stuff:
    """What a plate is made of: its name, conductivity `k` [W/(m K)], `density` [kg/m³], heat capacity `heat`
    [J/(kg K)].

    A definition; the values, with their sources, are rows of `resources/plates.json`.
    """

    name: str
    k: float
    density: float
    heat: float


@dataclass(frozen=True, slots=True)
class Plate:
    """A plate: its stuff, `thickness_m` [m], and the temperature `at_c` [°C] it has when a scoop is put on it."""

    stuff: Stuff
    thickness_m: float
    at_c: float
