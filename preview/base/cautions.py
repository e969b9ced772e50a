"""What can hurt, in the words shown wherever the work is planned; and what a likely look is not."""

from __future__ import annotations

CAUTIONS = (
    "Vent the can and fill it dry: sealed air or damp bursts it at heat, and so does divider plastic that cannot smoke "
    "out through the vent. That smoke is harmful: good air, and stand aside while it heats.",
    "Metal powder and grinding dust are harmful to breathe and can burn: extraction, fitted respirator, gloves, never "
    "dry-sweep. Nickel powder is a suspected carcinogen and a skin sensitiser.",
    "A pressed can may spit or split. Guard eyes, face and hands at the press and at the grinder; clear the floor of "
    "what can burn, and keep a fire watch after hot work.",
    "Ferric chloride burns eyes and skin: acid into water, good air, neutralise, rinse long, dispose by local rules.",
    "Local codes, the safety data sheets and licensed trades come before anything this program says.",
)

FOOT = "A likely look worked out from how the steel will be laid, forged and ground; not a photograph."
"""What stands below a likely look."""
