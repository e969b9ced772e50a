"""The blade in the hand: the ground solid with its etched steel, as GLB and as a page that turns it."""
