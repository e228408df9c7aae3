"""Screen and light: the panel, its controls and its words."""
