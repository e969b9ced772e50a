"""What can hurt, in the words shown wherever the work is planned; and what a likely look is not."""

from __future__ import annotations

ETCHANT = (
    "Ferric chloride burns eyes and skin: acid into water, good air, neutralise, rinse long, dispose by local rules."
)
FIRST_OF_ALL = "Local codes, the safety data sheets and licensed trades come before anything this program says."

CAUTIONS = (
    "Vent the can and fill it dry: sealed air or damp bursts it at heat, and so does divider plastic that cannot smoke "
    "out through the vent. That smoke is harmful: good air, and stand aside while it heats.",
    "Metal powder and grinding dust are harmful to breathe and can burn: extraction, fitted respirator, gloves, never "
    "dry-sweep. Nickel powder is a suspected carcinogen and a skin sensitiser.",
    "A pressed can may spit or split. Guard eyes, face and hands at the press and at the grinder; clear the floor of "
    "what can burn, and keep a fire watch after hot work.",
    ETCHANT,
    FIRST_OF_ALL,
)

FORGED_CAUTIONS = (
    "Fire and quench: hot oil flares up. Its lid and an extinguisher for burning oil at hand, never water in it or on "
    "it, no fumes breathed; dip steadily and straight, all that glows under the oil at once. A blade may crack and "
    "fly in the quench or after it: stand aside, and temper at once.",
    "Grinding dust, with nickel in it, is harmful to breathe and can burn: extraction, fitted respirator, never "
    "dry-sweep. Guard eyes, ears and hands at saw and grinder, and no loose sleeves; clear the floor of what can burn, "
    "and keep a fire watch after hot work.",
    ETCHANT,
    FIRST_OF_ALL,
)
"""The same once the bar is forged: cut, grind, quench and etch are left (common practice, no published source)."""

FOOT = "A likely look worked out from how the steel will be laid, forged and ground; not a photograph."
"""What stands below a likely look."""
