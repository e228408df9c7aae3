"""Test strip: the panel, its controls and its words."""
