"""Papers side by side: the panel, its controls and its words."""
