"""Print file: the panel, its controls and its words."""
