"""Paper white: the panel, its controls and its words."""
