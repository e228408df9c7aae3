"""One module per question; functions in, frozen dataclasses out."""
