"""What stands at each pixel of a ground face, and the numbers read off it."""
