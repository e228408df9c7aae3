"""One matplotlib figure per result; no pyplot state, no widgets."""
