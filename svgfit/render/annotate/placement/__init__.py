"""Where on the page writing and tables can stand."""
