"""The record of prints that were made, in a file of the person's own."""
