"""Several small prints on one sheet: test strips, and pictures nested to save paper."""
