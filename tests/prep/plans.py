"""Invented plans for the tests."""

from __future__ import annotations

from typing import Any

THREE_FLAVOURS: dict[str, Any] = {
    "title": "Invented orchard coupe",
    "date": "2031-06-14",
    "call_time": "09:00",
    "room": {"air": "74 F", "humidity": "48 %", "volume": "220 m3", "changes": "3/h"},
    "flavours": [
        {"name": "Pistachio", "mix": "superpremium", "tone": "mid"},
        {"name": "Hazelnut", "mix": "gelato", "tone": "mid"},
        {"name": "Lemon", "mix": "sorbet", "tone": "pale", "freezer": 2},
    ],
    "tub": {"size": "10 L pan"},
    "width": "2.5 in",
    "good_share": "1 in 3",
    "pull_to_set": "75 s",
    "dry_ice": {"target_air": "6 °C", "form": "slab", "box_loss": "8 lb/day"},
    "shots": [
        {
            "name": "Coupe",
            "look": "crisp",
            "light": "LED 2500 lx",
            "dressing": "25 s",
            "frames": 8,
            "between": "6 s",
            "takes": 2,
            "heroes": [
                {"flavour": "Pistachio", "spot": "left"},
                {"flavour": "Hazelnut", "spot": "middle"},
                {"flavour": "Lemon", "spot": "right"},
            ],
        },
        {
            "name": "Cone, backlit",
            "look": "crisp",
            "light": "tungsten EV 14",
            "frames": 30,
            "between": "6 s",
            "heroes": [{"flavour": "Pistachio", "spot": "cone"}],
        },
        {
            "name": "Sundae, sauce running",
            "look": "melt",
            "light": "LED 2000 lx",
            "heroes": [{"flavour": "Lemon", "spot": "centre"}],
        },
    ],
}

CALM: dict[str, Any] = {
    "title": "Invented single scoop",
    "date": "2031-03-02",
    "flavours": [{"name": "Vanilla", "mix": "premium"}],
    "shots": [{"name": "Scoop", "light": "LED 1500 lx", "heroes": [{"flavour": "Vanilla"}]}],
    "dry_ice": {"holding_box": False},
}

WHOLE_JOB: dict[str, Any] = THREE_FLAVOURS | {
    "title": "Invented orchard coupe, whole",
    "client": "Invented Orchard Dairy",
    "place": {"studio": "Quay 4", "address": "4 Invented Quay", "city": "Chicago"},
    "timezone": "America/Chicago",
    "people": [
        {"role": "stylist", "name": "Ines", "phone": "555 0117"},
        {"role": "client", "name": "Noor", "email": "noor@orchard.example"},
    ],
    "lunch_at": "12:30",
    "lunch": "40 min",
    "hero_takes": "12 min",
    "delivery": {
        "supplier": "Maison Alder", "contact": "Sam", "phone": "555 0150", "order_by": "2031-06-06",
        "day": "2031-06-13", "from_time": "7:00", "to_time": "7:30", "cartons": 9,
    },
    "dry_ice": THREE_FLAVOURS["dry_ice"] | {
        "sold": "blocks", "unit": "10 lb", "minimum": "50 lb", "fetch_from": "6:30", "supplier": "Carbo Nord",
        "phone": "555 0142", "order_by": "2031-06-10",
    },
    "shots": [
        THREE_FLAVOURS["shots"][0] | {
            "set_change": "10 min", "approval": "5 min",
            "steps": [
                {"what": "cherry sauce", "who": "stylist", "seconds": "8 s", "temperature": "20 °C", "amount": "15 ml"},
                {"what": "wafer", "who": "assistant", "seconds": "4 s", "amount": "1 wafer"},
            ],
        },
        THREE_FLAVOURS["shots"][1] | {"light": "daylight 3000 lx", "frames": 8},
        THREE_FLAVOURS["shots"][2],
    ],
}  # fmt: skip
"""A plan with everything a crew is told."""
