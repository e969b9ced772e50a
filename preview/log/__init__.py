"""The blade log: what was forecast of each blade, what it came out as, and what both tell over the years."""
