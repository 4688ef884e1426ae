"""The layers that svgfit adds to a drawing."""
