"""The day at the forge: the smith's tools, what force and heat each pass asks for, and the work fitted to them."""
