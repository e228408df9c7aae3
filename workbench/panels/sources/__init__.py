"""Picture and paper: the panel, its controls and its words."""
