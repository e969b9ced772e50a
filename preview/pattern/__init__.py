"""What is laid in the can: powders, the pattern's raster, how fine it is, and where the nickel goes."""
