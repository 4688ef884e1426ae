"""What people and programs get: our layers as SVG text, tables for the terminal, the report as JSON and CSV."""
