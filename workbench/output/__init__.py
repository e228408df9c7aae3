"""What leaves the workbench: files for the printer."""
