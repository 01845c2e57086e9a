"""What the product does; used by the command line, the api and the workers alike."""
