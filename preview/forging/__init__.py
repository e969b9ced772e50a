"""From the filled can to the bar: can and bar, the forging steps, their history, heats and scale."""
