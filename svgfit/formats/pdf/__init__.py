"""PDF in: layers, lines and texts of its pages, in page millimetres, y down."""
