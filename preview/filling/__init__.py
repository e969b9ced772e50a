"""From the wanted picture to the can: layout, dividers and their files, regions, fill, budget."""
