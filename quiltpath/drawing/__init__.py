"""Pages, lines and text in mm, and what writes them: SVG, PDF, PNG."""
