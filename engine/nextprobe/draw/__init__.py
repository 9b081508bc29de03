"""The plan as a drawing: words, rows, boxes, one file."""
