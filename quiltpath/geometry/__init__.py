"""Plane geometry and the shapes of a runner as values."""
