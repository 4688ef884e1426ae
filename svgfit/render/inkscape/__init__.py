"""A menu for a vector program that runs extensions (Inkscape): dialogs made from what the operations declare."""
