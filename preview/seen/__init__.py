"""What a photograph of the real bar or blade shows: where it was taken from, how the pattern lies, how sure that is."""
