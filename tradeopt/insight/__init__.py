"""What drives a design: tight limits and their price, assumptions, mechanisms, recommendation."""
