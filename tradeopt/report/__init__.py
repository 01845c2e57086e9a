"""What a reader gets to see: sheets, fronts and pictures, made from plain data."""
