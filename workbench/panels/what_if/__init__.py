"""What if: the panel, its controls and its words."""
