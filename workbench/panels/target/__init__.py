"""Target: the panel, its controls and its words."""
