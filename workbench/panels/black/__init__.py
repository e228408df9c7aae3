"""Black point: the panel, its controls and its words."""
