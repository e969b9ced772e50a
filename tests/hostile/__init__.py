"""Hostile files, values and folders for every command: made by chance from a seed, run one by one, and judged.

``python -m tests.hostile --cases 1000 --seed 1`` prints how they ended; see `tests.hostile.__main__`.
"""
