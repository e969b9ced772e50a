"""The blade: its outline, its place in the bar, its grind, and the ground surface."""
