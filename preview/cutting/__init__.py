"""Where in the bar the blade is cut so that its motif comes out whole: parts, chances, the search, words and files."""
