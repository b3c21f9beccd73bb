"""Everything computed for one project, and how it is computed."""
