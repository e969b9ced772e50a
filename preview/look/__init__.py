"""How it looks: etch, light, photograph, section, and the plain pictures of one job."""
