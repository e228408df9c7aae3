"""The invented picture and the invented papers: generated, never photographed or measured."""
