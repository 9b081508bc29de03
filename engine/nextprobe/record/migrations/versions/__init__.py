"""One script a layout; its revision is the layout's number."""
