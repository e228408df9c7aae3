"""The shelf: the panel, its controls and its words."""
