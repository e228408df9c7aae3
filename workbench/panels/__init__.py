"""One ipywidgets panel per question, and the desk that holds them."""
