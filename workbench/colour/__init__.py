"""The colour engine: ICC profiles, transforms, Lab helpers, colour difference.

Knows nothing of pictures or papers.
"""
