"""The plan as a text file: saved, opened again, and run without a browser."""
