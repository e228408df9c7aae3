"""From a plan to a folder with the print file and its job sheet, without a browser."""
