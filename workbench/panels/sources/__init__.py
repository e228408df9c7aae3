"""Opening pictures and papers: the panel, its controls and its words."""
