"""Free curves: a region with its holes in, smooth lines out. Loaded only when one is drawn."""
