"""The page's parts: widgets only, on the public names of `preview`; ``app.py`` puts them together."""
