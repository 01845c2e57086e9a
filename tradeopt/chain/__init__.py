"""What a stage is, how stages are ordered, and how a batch of designs runs through them."""
