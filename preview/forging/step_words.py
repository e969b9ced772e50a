"""Forging steps in a smith's words."""

from __future__ import annotations

from preview.forging.steps import Consolidate, ForgeBevel, Press, Step, Taper, Tile, Trim, Turn, Twist


def in_words(step: Step) -> str:
    """Return what to do in a step, in one short phrase, sizes cold."""
    match step:
        case Consolidate():
            return "Weld and squeeze the powder solid"
        case Press():
            passes = f", {step.repeat} passes" if step.repeat > 1 else ""
            turned = ", a quarter turn between" if step.turn_between else ""
            bite = f", bite {step.bite:g} mm" if step.bite else ""
            return f"Press to {step.height:g} mm{passes}{turned}{bite}"
        case Turn():
            return f"Roll {step.quarters} quarter turn{'s' if abs(step.quarters) != 1 else ''}"
        case Twist():
            return f"Twist {step.turns:g} turns"
        case Tile():
            return f"Cut slices of {step.slice:g} mm, weld them end grain to the face"
        case Taper():
            narrow = f", {step.tip_width:g} mm wide" if step.tip_width else ""
            return f"Draw the tip out to {step.tip_thickness:g} mm thick{narrow}"
        case ForgeBevel():
            return f"Forge the edge to {step.edge_thickness:g} mm, over {step.height:g} mm"
        case Trim():
            amounts = ((name, getattr(step, name)) for name in ("faces", "sides", "ends"))
            told = [f"{name} {_both(amount)}" for name, amount in amounts if amount not in (0.0, (0.0, 0.0))]
            return f"Mill off: {', '.join(told)}" if told else "Mill nothing off"
        case _:
            return step.step


def _both(amount: float | tuple[float, float]) -> str:
    low, high = amount if isinstance(amount, tuple) else (amount, amount)
    return f"{low:g} mm each" if low == high else f"{low:g} and {high:g} mm"
